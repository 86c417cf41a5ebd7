"""Building a rig: what the shelf offers, which ends are free, what cable an end asks for, and the text of a new entry."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from ohmwright.checks.carrying import Wire, carries
from ohmwright.kinds import find as kind_of
from ohmwright.mend.ask import free_id
from ohmwright.mend.shop import Shop
from ohmwright.rig.addresses import table_of
from ohmwright.rig.cable import read_cable
from ohmwright.rig.landing import Landing, landings, loose_ends
from ohmwright.rig.model import Part, Rig, Run
from ohmwright.rig.ports import AS_FOUND, Outlet
from ohmwright.rig.routes import Routes
from ohmwright.services.desk import Look
from ohmwright.shelf.record import Record, Shelf
from ohmwright.working import Figure, Given, known, tell

MOST_FOUND = 40
#: A conductor that carries for hours is taken a quarter larger than its current (common practice, as NFPA 70 has it).
CONTINUOUS = 1.25
#: An array may give a quarter more than its short-circuit current at standard sun (common practice, as NFPA 70 has it).
BRIGHT = 1.25
_LETTERS_ALONE = ("M", "B")
RULES = "eu-vehicle"
#: What a part of a kind is chosen by.
FIRST = {
    "battery": ("capacity", "discharge_max", "charge_max"),
    "module": ("power", "open_circuit", "short_circuit"),
    "pv-controller": ("max_pv_voltage", "max_pv_short_circuit", "output_current"),
    "inverter": ("power", "dc_nominal", "ac_voltage"),
    "inverter-charger": ("power", "dc_nominal", "charge_current"),
    "dcdc-charger": ("output_current", "output_voltage"),
    "panel-dc": ("rated", "voltage"),
}


@dataclass(frozen=True, slots=True)
class Offered:
    """A part of the shelf in one line: its first figures and its price."""

    id: str
    title: str
    kind: str
    figures: str
    price: str


@dataclass(frozen=True, slots=True)
class End:
    """Where a run may land: a port with its poles, or one terminal. `landed` names what lies there already."""

    address: str
    poles: tuple[str, ...]
    owner: str
    landed: tuple[str, ...]
    free: bool
    loose: bool
    """Nothing lies there yet, and its kind wants it wired."""


@dataclass(frozen=True, slots=True)
class CableFor:
    """A cable as a run may name it, and why it is proposed, or what it carries."""

    text: str
    told: str
    proposed: bool = False


# -------------------------------------------------------------------------------------------------- parts and ids


def offered(shelf: Shelf, words: str, kind: str, currency: str) -> tuple[tuple[Offered, ...], int]:
    """The first parts that hold every word, whole or at its beginning, wherever it stands; and how many there are."""
    wanted = [holds(w) for w in re.findall(r"[\w.+/-]+", words)]
    found: list[Offered] = []
    count = 0
    for name in shelf:
        record = shelf.find(name)
        if record is None or record.bare or record.kind.name in ("cable", "lug", "mounting"):
            continue
        if kind and record.kind.name != kind:
            continue
        told = f"{record.id} {record.id.replace('-', ' ')} {record.title} {record.kind.title}"
        if not all(w.search(told) for w in wanted):
            continue
        count += 1
        if len(found) < MOST_FOUND:
            price = record.price_in(currency) or record.price
            found.append(
                Offered(
                    record.id,
                    record.title or record.id,
                    record.kind.title,
                    _first_figures(record),
                    f"{price.amount} {price.currency}" if price else "",
                )
            )
    return tuple(found), count


def holds(word: str) -> re.Pattern[str]:
    """A word at its beginning; a figure whole, so that 30 is not 300."""
    behind = r"(?![\d.])" if word[-1].isdigit() else ""
    return re.compile(rf"(?<![\w.]){re.escape(word)}{behind}", re.IGNORECASE)


def _first_figures(record: Record) -> str:
    told = []
    for name in FIRST.get(record.kind.name, tuple(record.kind.figures)):
        given = record.figures.get(name)
        if isinstance(given, Figure):
            told.append(f"{name.replace('_', ' ')} {tell(given.value, given.unit, 3)}")
        if len(told) == 3:
            break
    return ", ".join(told)


def kinds_offered(shelf: Shelf) -> tuple[tuple[str, str], ...]:
    """The kinds of which the shelf has a part, by title."""
    names = {r.kind.name: r.kind.title for i in shelf if (r := shelf.find(i)) is not None and not r.bare}
    return tuple(
        sorted(
            ((k, t) for k, t in names.items() if k not in ("cable", "lug", "mounting")),
            key=lambda x: x[1].lower(),
        )
    )


def proposed_id(rig: Rig, kind: str) -> str:
    """An id that is free: the letter of the kind, alone for the first array and the first bank."""
    found = kind_of(kind)
    letter = found.letter if found is not None else "X"
    taken = {*rig.parts, *rig.runs, *rig.use.loads, *rig.host.places, *rig.metal}
    return letter if letter in _LETTERS_ALONE and letter not in taken else next(free_id(rig, letter))


def proposed_place(rig: Rig, kind: str) -> str:
    """Where such a part most often sits: modules outside, all else where the last part sits, or in the first place inside."""
    outside = [p.id for p in rig.host.places.values() if p.regime == "outside"]
    inside = [p.id for p in rig.host.places.values() if p.regime != "outside"]
    if kind == "module":
        return next(iter(outside), "")
    last = [p.place for p in rig.parts.values() if p.place in inside]
    return last[-1] if last else next(iter(inside), "")


def free_ways(rig: Rig, but: str = "") -> tuple[tuple[str, str], ...]:
    """Ways of panels that no load hangs on yet, with their rating; `but` is one that counts as free."""
    taken = {way for load in rig.use.loads.values() for way in load.fed.values()} - {but}
    return tuple(
        (address, f"{address}, {tell(rated.value, rated.unit, 3)}" if rated is not None else address)
        for p in rig.parts.values()
        if p.kind.name.startswith("panel-")
        for n, given in p.ways.items()
        if (address := f"{p.id}.{n}") not in taken
        for rated in (known(given),)
    )


def free_run(rig: Rig) -> str:
    """The next free id of a run."""
    return next(free_id(rig, "W"))


# ------------------------------------------------------------------------------------------------------- ends


def ends_of(look: Look) -> tuple[End, ...]:
    """Every port and terminal that takes one more conductor, loose ones first."""
    table, landed = table_of(look.rig), landings(look.study.graph)
    as_found = look.rig.job.stage == "as found"
    found = [
        end
        for address, outlet in table.outlets.items()
        if address not in table.inner or (as_found and table.inner[address].startswith(AS_FOUND))
        for end in _of_outlet(outlet, landed)
    ]
    return tuple(sorted(found, key=lambda e: not e.loose))


def _of_outlet(outlet: Outlet, landed: Mapping[str, Landing]) -> list[End]:
    lies = {t: _runs_on(t, landed) for t in outlet.terminals}
    room = {t: len(lies[t]) < max(outlet.takes, 1) or outlet.takes > 90 for t in outlet.terminals}
    wanted = not outlet.may_stay_free and outlet.role not in ("case", "metal")
    whole = End(
        outlet.address,
        outlet.poles,
        outlet.owner,
        tuple(dict.fromkeys(r for t in outlet.terminals for r in lies[t])),
        all(room.values()),
        wanted and outlet.role not in ("stud", "earth") and not any(lies.values()),
    )
    out = [whole] if whole.free else []
    if len(outlet.terminals) > 1:
        out += [
            End(t, (p,), outlet.owner, lies[t], True, wanted and not lies[t] and any(lies.values()))
            for t, p in zip(outlet.terminals, outlet.poles, strict=True)
            if room[t]
        ]
    return out


def _runs_on(terminal: str, landed: Mapping[str, Landing]) -> tuple[str, ...]:
    found = landed.get(terminal)
    return tuple(c.partition(".")[0] for c in found.conductors) if found is not None else ()


def meant(look: Look, text: str, other: str = "") -> tuple[End | None, tuple[End, ...]]:
    """The end that a typed or pointed word means: an address as it is; for a thing with several ends these, to be chosen from."""
    ends = ends_of(look)
    exact = next((e for e in ends if e.address == text), None)
    if exact is not None:
        return exact, ()
    own = [e for e in ends if e.owner == text or e.owner.startswith(f"{text}.")]
    if own and all(len(e.poles) == 1 and e.address.rpartition(".")[2].isdecimal() for e in own):
        return next((e for e in own if not e.landed), own[0]), ()
    fits = [e for e in own if e.loose and other and e.poles == _poles(look, other)]
    loose = [e for e in own if e.loose]
    if len(fits) == 1:
        return fits[0], ()
    if len(loose) == 1 and len(loose[0].poles) == len(own[0].poles):
        return loose[0], tuple(own)
    return None, tuple(own)


def _poles(look: Look, address: str) -> tuple[str, ...]:
    table = table_of(look.rig)
    outlet = table.outlets.get(address)
    return outlet.poles if outlet is not None else (table.pole.get(address, ""),)


# -------------------------------------------------------------------------------------------------- cables, ways


def owner_at(rig: Rig, address: str) -> Part | None:
    """The part that a terminal or port belongs to."""
    words = address.split(".")
    for n in range(len(words), 0, -1):
        if (part := rig.parts.get(".".join(words[:n]))) is not None:
            return part
    return None


def place_at(rig: Rig, address: str) -> str:
    """Where a terminal's owner sits."""
    part = owner_at(rig, address)
    if part is not None:
        return part.place or (rig.parts[part.group].place if part.group in rig.parts else "")
    load = rig.use.loads.get(address.partition(".")[0])
    return load.place if load is not None else ""


def route_between(rig: Rig, a: str, b: str) -> tuple[tuple[str, ...], str]:
    """The ways between two ends and their length in words; "" where no way, or its length, is told."""
    here, there = place_at(rig, a), place_at(rig, b)
    if not here or not there or here == there:
        return (), ""
    routes = Routes(rig.host.ways)
    route = routes.shortest(here, there) or ()
    length = known(routes.length(route, ""))
    return route, tell(length.value, "m", 3) if length is not None else ""


def cables_for(look: Look, a: str, b: str, poles: tuple[str, ...]) -> tuple[CableFor, ...]:
    """Cables of the shelf that could lie there, the proposed one first."""
    rig = look.rig
    rules = rig.job.rules or RULES
    amperes, told = _asked_of(rig, a, b)
    array = any((p := owner_at(rig, x)) is not None and p.kind.name == "module" for x in (a, b))
    sample = f"{'pv ' if array else ''}{'10 AWG' if rules.startswith('us') else '4 mm2'}"
    alternating = bool({"L", "L1", "N"} & set(poles))
    if alternating or (len(poles) > 1 and not array):
        sample = f"{len(poles)} x {sample}"
    elif poles == ("-",):
        sample += " black"
    elif poles == ("+",) or _fused(rig, a, b):
        sample += " red"
    elif poles == ("PE",):
        sample += " green-yellow"
    thinnest = replace(read_cable(sample), area_mm2=0.1)
    offers = [o for ladder in Shop(look.opened.shelf, rig).cables(thinnest) for o in ladder]
    if not offers:
        return ()
    make = min((o for o in offers), key=lambda o: o.area_mm2)
    alike = sorted(
        (o for o in offers if read_cable(o.text).material == read_cable(make.text).material),
        key=lambda o: o.area_mm2,
    )
    carried = {
        o.text: c.ceiling.value
        for o in alike
        if (
            c := carries(
                Wire(
                    o.area_mm2, read_cable(o.text).insulation_degC, alternating=alternating, sold_for_pv=array
                ),
                rules,
                "least",
            )
        )
        is not None
    }
    first = next((o.text for o in alike if amperes and carried.get(o.text, 0.0) >= amperes), "")
    rest = [CableFor(o.text, f"{carried[o.text]:.3g} A" if o.text in carried else "") for o in alike]
    if (twin := _twin(rig, a, b)) is not None and (size := twin.cable.area_mm2):
        as_twin = next((o for o in alike if abs(o.area_mm2 / size - 1) < 0.02), None)
        least = next((o.area_mm2 for o in alike if o.text == first), 0.0)
        if as_twin is not None and as_twin.area_mm2 >= least:
            first, told, amperes = as_twin.text, f"as the other pole, {twin.id}", 0.0
    why = f"the smallest that may stand behind {amperes:.3g} A: {told}" if amperes else told
    head = [CableFor(first, why, True)] if first else []
    return (*head, *(c for c in rest if c.text != first))


def _fused(rig: Rig, a: str, b: str) -> bool:
    return any((p := owner_at(rig, x)) is not None and p.kind.name in ("fuse", "breaker") for x in (a, b))


def _twin(rig: Rig, a: str, b: str) -> Run | None:
    """The run on the other pole of one of the ends."""
    other = {"+": "-", "-": "+"}
    for address in (a, b):
        head, _, pole = address.rpartition(".")
        if pole in other:
            there = f"{head}.{other[pole]}"
            for run in rig.runs.values():
                if not run.part_of and any(there in (c.a, c.b) for c in run.cores):
                    return run
    return None


def _asked_of(rig: Rig, a: str, b: str) -> tuple[float, str]:
    """The current a conductor between two ends must bear, and what asks for it; 0 where nothing says so."""
    found: list[tuple[float, str]] = []
    for address in (a, b):
        part = owner_at(rig, address)
        if part is None:
            continue
        if part.kind.name in ("fuse", "breaker", "pv-disconnect", "rcbo") and (
            rated := _A(part.figure("rated"))
        ):
            return rated, f"{part.id} is rated {rated:g} A"
        asked = _own_A(part, address)
        if asked is not None:
            found.append(asked)
    asked = min(found, default=(0.0, ""))
    guard = max((g for x in (a, b) for g in _guards_of_bar(rig, x)), default=(0.0, ""))
    return max(asked, guard)


def _guards_of_bar(rig: Rig, address: str) -> Iterator[tuple[float, str]]:
    """The devices behind which everything on a bar stands, as far as runs lead straight to them."""
    bar = owner_at(rig, address)
    if bar is None or bar.kind.name != "busbar":
        return
    for run in rig.runs.values():
        ends = [owner_at(rig, t) for c in run.cores for t in (c.a, c.b)]
        if not any(p is bar for p in ends):
            continue
        for device in ends:
            if (
                device is not None
                and device.kind.name in ("fuse", "breaker")
                and (rated := _A(device.figure("rated")))
            ):
                yield (
                    rated,
                    f"{device.id} on {bar.id} is rated {rated:g} A; a smaller fuse at {bar.id} allows less",
                )


def _own_A(part: Part, address: str) -> tuple[float, str] | None:
    kind = part.kind.name
    if kind == "module":
        short = _A(part.figure("short_circuit"))
        strings = max(1, part.strings) if address == part.id else 1
        return (
            (
                BRIGHT * CONTINUOUS * short * strings,
                f"{BRIGHT * CONTINUOUS:.3g} times its short-circuit current",
            )
            if short
            else None
        )
    if kind in ("pv-controller", "pv-controller-pwm", "dcdc-charger") and not address.startswith(
        f"{part.id}.pv"
    ):
        out = _A(part.figure("output_current"))
        return (CONTINUOUS * out, f"{CONTINUOUS:g} times the output of {part.id}") if out else None
    if kind == "panel-dc" and ".feed" in address:
        ways = sum(_A(g) for g in part.ways.values())
        most = _A(part.figure("rated")) or ways
        return (min(ways, most), f"the ways of {part.id} together") if ways else None
    if kind in ("inverter", "inverter-charger") and ".dc" in address:
        power, volts = known(part.figure("power")), known(part.figure("cutoff_voltage"))
        if power is not None and volts is not None:
            return (
                CONTINUOUS * power.value / volts.value,
                f"{CONTINUOUS:g} times the current of {part.id} at its cut-off",
            )
    return None


def _A(given: Given) -> float:
    figure = known(given)
    return figure.value if figure is not None and figure.unit == "A" else 0.0


# ------------------------------------------------------------------------------------------------- new entries


@dataclass(frozen=True, slots=True)
class Joined:
    """How a run joins two ends: the poles it carries, and for an end of single terminals the one of each pole."""

    start: str
    stop: str
    poles: tuple[str, ...]
    asks: tuple[str, ...] = ()
    """Poles of the one end for which the other end has yet to name a terminal; "" side: nothing to ask."""
    lone: str = ""
    """Which end is a single terminal: `from` or `to`."""


def joined(look: Look, start: End, stop: End, more: Mapping[str, str]) -> Joined | None:
    """What a run between two ends carries; `more` names terminals by pole for an end of single terminals. None: no pole in common."""
    if len(start.poles) == len(stop.poles) == 1:
        pole = start.poles[0] or stop.poles[0]
        return Joined(start.address, stop.address, (pole,) if pole else ())
    if set(start.poles) == set(stop.poles):
        return Joined(start.address, stop.address, start.poles)
    if len(start.poles) > 1 and len(stop.poles) > 1:
        common = tuple(p for p in start.poles if p in stop.poles)
        return Joined(start.address, stop.address, common) if common else None
    lone, many, side = (start, stop, "from") if len(start.poles) == 1 else (stop, start, "to")
    told = {p: t for p, t in more.items() if t and p in many.poles}
    if not told:
        told = {_pole_of(look, lone, many): lone.address}
    if len(told) == 1:
        pole, terminal = next(iter(told.items()))
        ends = (terminal, f"{many.address}.{pole}")
    else:
        ends = ("{" + ", ".join(f'"{p}": {t}' for p, t in told.items()) + "}", many.address)
    a, b = ends if side == "from" else (ends[1], ends[0])
    return Joined(a, b, tuple(told), many.poles, side)


def _pole_of(look: Look, lone: End, many: End) -> str:
    """The pole that a stud or a device's side takes: its own, that of the bar it belongs to, else the first."""
    if lone.poles[0] in many.poles:
        return lone.poles[0]
    bars = bars_by_pole(look.rig)
    return next((p for p, bar in bars.items() if bar == lone.owner and p in many.poles), many.poles[0])


def bars_by_pole(rig: Rig) -> dict[str, str]:
    """The bar on which the conductors of a pole land, by what lands there already."""
    out: dict[str, str] = {}
    for run in rig.runs.values():
        for core in run.cores:
            for terminal in (core.a, core.b):
                part = owner_at(rig, terminal)
                if part is not None and part.kind.name in ("busbar", "earth-bar") and core.pole:
                    out.setdefault(core.pole, part.id)
    return out


def other_studs(look: Look, how: Joined) -> dict[str, str]:
    """For every pole that is asked of an end of single terminals the stud it may land on; "" where none is known."""
    bars = bars_by_pole(look.rig)
    ends = ends_of(look)
    out = {}
    for pole in how.asks:
        bar = bars.get(pole, "")
        out[pole] = next((e.address for e in ends if e.owner == bar and not e.landed), "") if bar else ""
    return out


def next_steps(look: Look) -> tuple[tuple[str, str, str], ...]:
    """What comes next in a rig that is not whole yet: in words, the sheet, and what to do there."""
    rig = look.rig
    out: list[tuple[str, str, str]] = []
    if not rig.host.places:
        out.append(("No place is named yet: say where parts sit", "places", "#new-place"))
    sources = rig.of_kind("battery", "module", "generator", "alternator", "shore-inlet", "supply-post")
    if not rig.parts:
        out.append(
            ("Nothing is drawn yet: add the battery first", "one-line", "?new=part&find=battery#chosen")
        )
    elif not sources:
        out.append(("No source yet: add a battery", "one-line", "?new=part&find=battery#chosen"))
    elif not rig.of_kind("battery"):
        out.append(("No battery yet: add one", "one-line", "?new=part&find=battery#chosen"))
    loose = loose_things(look)
    if loose:
        told = ", ".join(loose[:6]) + (f" and {len(loose) - 6} more" if len(loose) > 6 else "")
        out.append((f"No run lands yet on {told}: lay runs", "one-line", f"?new=run&from={loose[0]}#chosen"))
    if not rig.use.loads:
        out.append(("Nothing takes power yet: add the loads", "interview", "#loads"))
    elif hanging := [x.id for x in rig.use.loads.values() if not x.fed and not x.wired]:
        out.append(
            (
                f"Nothing feeds {', '.join(hanging[:6])} yet: hang them on a way",
                "one-line",
                f"?choose={hanging[0]}#chosen",
            )
        )
    if rig.use.loads and not rig.use.stays:
        out.append(("Where the year is spent is not told: add a stay", "interview", "#stays"))
    return tuple(out)


def loose_things(look: Look) -> tuple[str, ...]:
    """Ports and terminals that want a run and have none, each port once."""
    table = table_of(look.rig)
    loose = set(loose_ends(look.study.graph))
    out: dict[str, None] = {}
    for outlet in table.outlets.values():
        mine = [t for t in outlet.terminals if t in loose and t not in table.inner]
        if not mine or outlet.role in ("stud", "earth", "way", "case", "signal", "data"):
            continue
        for name in [outlet.address] if len(mine) == len(outlet.terminals) else mine:
            out[name] = None
    return tuple(out)


# --------------------------------------------------------------------------------------------- devices for a run


@dataclass(frozen=True, slots=True)
class DeviceFor:
    """A device that could be set into a run; `fits` says that the cable is protected by it."""

    id: str
    title: str
    kind: str
    fits: bool


def devices_for(look: Look, run: Run) -> tuple[DeviceFor, ...]:
    """Devices of the shelf for a conductor: those that protect its cable first, the largest rating foremost."""
    ceiling = _ceiling_A(look, run)
    alternating = any(c.pole in ("L", "L1", "L2", "N") for c in run.cores)
    kinds = (
        ("pv-disconnect", "fuse", "breaker") if run.cable.use == "pv" else ("fuse", "breaker", "rcbo", "rcd")
    )
    found = []
    for name in look.opened.shelf:
        record = look.opened.shelf.find(name)
        if record is None or record.bare or not record.kind.series:
            continue
        if (record.words.get("current", "dc") == "ac") != alternating:
            continue
        rated = known(record.figures["rated"]) if "rated" in record.figures else None
        guards = record.kind.name in ("fuse", "breaker", "pv-disconnect", "rcbo")
        fits = guards and rated is not None and ceiling is not None and rated.value <= ceiling * (1 + 1e-9)
        kind = record.kind.name
        order = kinds.index(kind) if kind in kinds else len(kinds)
        size = rated.value if rated is not None else 0.0
        rank = (not fits, order, record.kind.title, -size if fits else size)
        found.append((rank, DeviceFor(record.id, record.title or record.id, record.kind.title, fits)))
    return tuple(d for _, d in sorted(found, key=lambda x: (x[0], x[1].id)))


def _ceiling_A(look: Look, run: Run) -> float | None:
    if run.cable.area_mm2 is None:
        return None
    wire = Wire(
        run.cable.area_mm2, run.cable.insulation_degC, run.cable.material, sold_for_pv=run.cable.use == "pv"
    )
    carried = carries(wire, look.rig.job.rules or RULES, "least")
    return carried.ceiling.value if carried is not None else None
