"""Why parts and cable cost and weigh so much: line by line, from the shelf."""

from ohmwright.change.arrays import array_steps
from ohmwright.change.follows import mass
from ohmwright.checks.masses import added, each
from ohmwright.energy.reckoned import Ask, Listing, Reckoned, Row, computed, summed
from ohmwright.services.opening import Opened
from ohmwright.study import Study
from ohmwright.takeoff.order import order_of
from ohmwright.working import Input, OhmwrightError, grouped

PRICE, MASS, CABLE, CUT, ABOARD = "parts/price", "parts/mass", "cable/price", "cable/to-cut", "host/aboard"
#: Figures of an array by the names under which they are asked why.
NAMES = {
    "string/in-series": "modules in series",
    "string/in-parallel": "strings in parallel",
    "string/power": "array power",
    "string/home-run": "home run, cross-section",
    "string/home-run-drop": "home run, volts lost",
    "string/home-run-part": "home run, part of the volts lost",
}


def price(study: Study, currency: str) -> Reckoned:
    """The parts counted, each line as many times as its price."""
    money = currency or study.rig.job.currency
    lines = [
        (line, line.price)
        for line in study.takeoff.parts
        if line.price is not None and line.currency == money
    ]
    terms = [
        computed(f"a_{n}", float(cost * line.count), money, f"{line.count} x {cost} {money}, {line.record} of the shelf")
        for n, (line, cost) in enumerate(lines, 1)
    ]  # fmt: skip
    step = summed("price", money, terms, "parts whose price the shelf has; cable and lugs are priced apart")
    rows = tuple(
        Row(line.title or line.record, (str(line.count), f"{cost:.2f}", f"{cost * line.count:.2f} {money}"))
        for line, cost in sorted(lines, key=lambda lp: -(lp[1] * lp[0].count))
    )
    without = [line.title or line.record for line in study.takeoff.parts if line.price is None]
    says = (f"Without a price on the shelf, and so not in it: {', '.join(without[:8])}" + (f" and {len(without) - 8} more" if len(without) > 8 else "") + ".",) if without else ()  # fmt: skip
    return Reckoned(Ask(PRICE, money), f"price of the parts counted, {money}", step.value, money, says, (step,), (Listing("The lines", ("part", "count", "each", "together"), rows),))  # fmt: skip


def mass_of(study: Study) -> Reckoned:
    """The parts and the conductors whose mass is known."""
    takeoff = study.takeoff
    parts = [(x.title or x.record, x.count, x.mass_kg) for x in takeoff.parts if x.mass_kg]
    cuts = sum(c.mass_kg or 0.0 for c in takeoff.cuts)
    terms: list[Input] = [
        computed(f"m_{n}", kg * count, "kg", f"{count} x {kg:g} kg, {name}") for n, (name, count, kg) in enumerate(parts, 1)
    ]  # fmt: skip
    terms.append(computed("m_wire", cuts, "kg", "conductors to cut: copper and insulation by their length"))
    step = summed("m", "kg", terms, "told to a gram")
    rows = tuple(
        Row(name, (str(count), f"{kg:g} kg", f"{kg * count:.2f} kg"))
        for name, count, kg in sorted(parts, key=lambda p: -(p[1] * p[2]))
    )
    without = [x.title or x.record for x in takeoff.parts if not x.mass_kg]
    says = (f"Mass not known, and so not in it: {', '.join(without[:8])}" + (f" and {len(without) - 8} more" if len(without) > 8 else "") + ".",) if without else ()  # fmt: skip
    return Reckoned(Ask(MASS, ""), "mass of the parts counted", mass(takeoff), "kg", says, (step,), (Listing("The lines", ("part", "count", "each", "together"), rows),))  # fmt: skip


def cables(study: Study, opened: Opened) -> Reckoned:
    """The cable to buy, by the metre."""
    order = order_of(study.takeoff, opened.shelf, study.rig.job.currency)
    priced = [(c, c.price) for c in order.cables if c.price is not None]
    terms = [
        computed(f"a_{n}", float(cost), order.currency, f"{c.bought_m:g} m of {c.text} {c.colour}".strip() + f" at {c.price_m} {order.currency} a metre, {c.record}")
        for n, (c, cost) in enumerate(priced, 1)
    ]  # fmt: skip
    step = summed("price", order.currency, terms, "cable that the shelf has by the metre")
    rows = tuple(
        Row(f"{c.text} {c.colour}".strip(), (f"{c.metres:.2f} m", f"{c.bought_m:g} m", f"{c.price_m}", f"{cost:.2f} {order.currency}"))
        for c, cost in priced
    )  # fmt: skip
    without = [f"{c.text} {c.colour}".strip() for c in order.cables if c.price is None]
    says = (f"Without a price on the shelf: {', '.join(without[:8])}.",) if without else ()
    return Reckoned(Ask(CABLE, ""), f"price of the cable, {order.currency}", step.value, order.currency, says, (step,), (Listing("The lines", ("cable", "to cut", "bought with spare", "a metre", "together"), rows),))  # fmt: skip


def to_cut(study: Study, size: str) -> Reckoned:
    """Metres of one size, each piece once."""
    pieces = {c.piece or c.id: c for c in study.takeoff.cuts if c.size == size and not c.made}
    if not pieces:
        sizes = sorted({c.size for c in study.takeoff.cuts if not c.made and c.size})
        raise OhmwrightError(
            f"no cable of size '{size[:30]}' is cut", remedy="write one of " + ", ".join(sizes)
        )
    terms = [
        computed(f"L_{n}", c.cut_m or 0.0, "m", f"{name}: {c.length_m or 0.0:g} m and {c.allowance_m or 0.0:g} m for its ends, rounded up")
        for n, (name, c) in enumerate(pieces.items(), 1)
    ]  # fmt: skip
    step = summed("L", "m", terms, f"{grouped(len(pieces))} pieces of {size}")
    return Reckoned(Ask(CUT, size), f"cable to cut, {size}", step.value, "m", (), (step,))


def of_array(study: Study, what: str, array: str) -> Reckoned:
    """A figure of an array that a change order names and no rule judges."""
    name = NAMES[what]
    found = {subject: step for (n, subject), step in array_steps(study).items() if n == name}
    chosen = array or next(iter(found), "")
    if chosen not in found:
        raise OhmwrightError(
            f"{name} of '{array[:30]}' cannot be told",
            remedy="write one of " + ", ".join(found)
            if found
            else "give current, volts and cable of the array",
        )
    step = found[chosen]
    return Reckoned(Ask(what, chosen), f"{name}, {chosen}", step.value, step.unit, (), (step,))


def aboard(study: Study) -> Reckoned:
    """Mass of parts and cables that come aboard."""
    masses = each(study)
    terms = [computed(f"m_{n}", m.mass_kg, "kg", m.id) for n, m in enumerate(masses, 1)]
    step = summed("m", "kg", terms, "parts by their pages, conductors by copper and insulation; what stands ashore is left out")  # fmt: skip
    rows = tuple(Row(m.id, (f"{m.mass_kg:.2f} kg",)) for m in sorted(masses, key=lambda m: -m.mass_kg)[:40])
    missing = added(study).missing
    says = (f"Mass not known, and so not in it: {', '.join(missing[:8])}" + (f" and {len(missing) - 8} more" if len(missing) > 8 else "") + ".",) if missing else ()  # fmt: skip
    return Reckoned(Ask(ABOARD, ""), "parts and cables aboard", step.value, "kg", says, (step,), (Listing("The heaviest", ("what", "mass"), rows),))  # fmt: skip
