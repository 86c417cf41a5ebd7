"""C7: of two devices in a row the nearer to the fault opens alone."""

from collections.abc import Callable, Iterator

from ohmwright.checks.gather import once
from ohmwright.checks.judgement import (
    Judgement,
    at_least,
    at_most,
    cannot_tell,
    kept,
    least,
    most,
    skipped,
    warns,
)
from ohmwright.checks.registry import rule
from ohmwright.checks.wires import added, is_alternating, is_dc
from ohmwright.circuit.selectivity import Holding, Selective, holding_of
from ohmwright.circuit.wiring import wiring_of
from ohmwright.physics.fault import melts_at_least_s
from ohmwright.physics.sums import multiple_ratio, part_A
from ohmwright.rig.graph import Conductor
from ohmwright.rig.model import Part
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, tell, work

REMEDY = "Drop one of the two where the same cable goes on, or grade them further apart."


def judge(
    upper: Figure, lower: Figure, asks: tuple[str, ...] = (), *, breaker_above: bool = False
) -> Judgement:
    """Ratio of ratings: under 1.6 no class is selective, from 3 any two fuses are; between, the maker's table or curves.

    A breaker above opens at once from a multiple of its rating on, however small what stands below it: no ratio tells.
    """
    step = work(multiple_ratio, current_A=upper, rated_A=lower)
    floor, sure = find("protection/selective-gg").value, find("protection/selective-sure").value
    told = _told(upper, lower, step)
    if not at_least(step.value, floor) or (at_least(step.value, sure) and not breaker_above):
        return least(
            step.value,
            floor,
            "1",
            good=f"{told}.",
            bad=f"{told}: a fault behind the smaller may take the larger with it, and everything else goes dark.",
            remedy=REMEDY,
            steps=(step,),
        )
    if breaker_above:
        return cannot_tell(
            f"{told}: no ratio tells of a breaker above, which opens at once from some multiple of its rating on.",
            asks,
            limit=floor,
            unit="1",
            sense="min",
            remedy="Copy both edges of the breaker's trip curve from its page, or look the two up in the maker's table.",
        )
    return cannot_tell(
        f"{told}: {floor:g} to 1 holds for gG fuses only; for others the maker's ratio table or curves are wanted.",
        asks,
        limit=floor,
        unit="1",
        sense="min",
        remedy="Give the melting integral of the larger, or look the two up in the maker's table.",
    )


@kept
def judge_curves(
    upper: Figure, lower: Figure, found: Selective, holding: Holding, plate: Figure
) -> Judgement:
    """Curve against curve: what can flow behind the smaller against the current up to which it opens alone.

    `plate` is the melting integral of a fuse above, the lower end of the instantaneous band of a breaker above.
    From 3 to 1 on a part of the currents is told as a note: the rest of the rig stays lit in most faults.
    """
    assert found.up_to_A is not None
    assert found.prospective_A is not None
    ratio = work(multiple_ratio, current_A=upper, rated_A=lower)
    up_to = figure(found.up_to_A, "A", COMPUTED, address=f"{found.lower} opens before {found.upper} up to")
    flows = figure(found.prospective_A, "A", COMPUTED, address=f"greatest fault behind {found.lower}")
    steps = (ratio, *_opens(found, holding, plate))
    told = f"{_told(upper, lower, ratio)}. By their curves the smaller opens alone "
    if found.whole:
        said = f"{told}at every current that can flow behind it, {tell(flows.value, 'A')}."
        return least(up_to, flows, "A", good=said, bad=said, steps=steps, roots=(plate,))
    said = f"{told}up to {tell(up_to.value, 'A')}; {tell(flows.value, 'A')} can flow behind it, and then the larger may open too.{_times(found)}"
    if at_least(ratio.value, find("protection/selective-sure").value):
        return warns(said, REMEDY, roots=(plate,))
    return least(up_to, flows, "A", good=said, bad=said, remedy=REMEDY, steps=steps, roots=(plate,))


def _times(found: Selective) -> str:
    """Both times at the limit; the larger may hold that current for ever."""
    if found.clears_s is None or found.opens_s is None:
        return ""
    return f" At that limit it clears within {tell(found.clears_s, 's', 2)}; the larger holds {tell(found.opens_s, 's', 2)} at least."


def _opens(found: Selective, holding: Holding, plate: Figure) -> tuple[Step, ...]:
    """What the larger's plate says at the limit: where a breaker may open at once, how soon a fuse can melt."""
    amps = (found.up_to_A or 0.0) * found.share
    if holding.instant_A is not None:
        rated = figure(holding.held_A, "A", COMPUTED, address=f"rating of {found.upper}")
        return (work(part_A, part_ratio=plate, rated_A=rated, worst="low"),)
    if amps <= holding.held_A or holding.melting_A2s is None:
        return ()
    held = figure(holding.held_A, "A", COMPUTED, address=f"{found.upper} holds for ever")
    at = figure(amps, "A", COMPUTED, address=f"{found.upper} carries at the limit")
    return (work(melts_at_least_s, melting_A2s=plate, held_A=held, current_A=at, worst="low"),)


def _told(upper: Figure, lower: Figure, ratio: Step) -> str:
    return f"{upper.value:g} A before {lower.value:g} A is {ratio.value:.2f} to 1"


#: Verdicts as they weigh among the members of a bank.
WORST_FIRST = ("fail", "cannot-tell", "warn", "pass", "skip")


def judge_alternating(
    upper: Figure, lower: Figure, opens_at: Figure | None, prospective: Figure | None, asks: tuple[str, ...] = ()
) -> Judgement:  # fmt: skip
    """Two breakers of alternating current: the ratio tells of overloads, the lower end of the larger's instantaneous band of shorts.

    Small breakers in a row are seldom selective in a short, and the supply sets the larger: a note, unless the larger stands behind.
    """
    ratio = work(multiple_ratio, current_A=upper, rated_A=lower)
    told = _told(upper, lower, ratio)
    if not at_least(ratio.value, 1.0):
        return least(ratio, 1.0, "1", good="", bad=f"{told}: the one before opens on a load that the one behind allows.", remedy=REMEDY, steps=(ratio,))  # fmt: skip
    if not at_least(ratio.value, find("protection/selective-gg").value):
        return warns(f"{told}: an overload behind the smaller may take everything behind the larger with it.", REMEDY, roots=(upper, lower), steps=(ratio,))  # fmt: skip
    if opens_at is None or prospective is None:
        return cannot_tell(f"{told}: selective in an overload; what a short behind the smaller does is not known.", asks, unit="A", sense="max")  # fmt: skip
    said = f"{told}: selective in an overload; the larger may open at once from {tell(opens_at.value, 'A')}, and {tell(prospective.value, 'A')} can flow behind the smaller"
    if at_most(prospective.value, opens_at.value):
        return most(prospective, opens_at, "A", good=f"{said}.", bad="", steps=(ratio,))
    return warns(f"{said}: then both go dark.", REMEDY, roots=(opens_at,), steps=(ratio,))


@rule(
    "wiring/selectivity",
    "C7",
    "Selectivity",
    why="A short in a reading lamp that opens the main fuse leaves a boat without lights, instruments and bilge pump.",
    severities=("fails", "note"),
    clauses={
        "": Clause(
            "IEC 60269-2", "2013", "discrimination of gG fuses; breakers IEC 60898-1 Table 2", "secondary"
        )
    },
    needs=("guards", "faults"),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each device with the next one towards a source; of the alike devices of a bank's members the one that lets go first."""
    pairs = _pairs(study, is_dc)
    alternating = _pairs(study, is_alternating)
    if not pairs and not alternating:
        yield "rig", skipped("No two devices stand in a row.")
    for upper in sorted({up for up, _ in alternating}):
        yield upper, _judged_alternating(study, upper, {low: p for (up, low), p in alternating.items() if up == upper})  # fmt: skip
    told: dict[tuple[tuple[str, ...], str], list[Judgement]] = {}
    for (upper, lower), (a, b) in sorted(pairs.items()):
        told.setdefault((_mates(study, upper), lower), []).append(_judged(study, upper, lower, a, b))
    for (_, lower), judged in told.items():
        yield lower, min(judged, key=_rank)


def _rank(j: Judgement) -> tuple[int, float]:
    return WORST_FIRST.index(j.verdict), j.margin if j.margin is not None else 0.0


def _judged(study: Study, upper: str, lower: str, a: Figure, b: Figure) -> Judgement:
    """By the curves where both are known, else by the ratio of the ratings."""
    found = study.selective(upper, lower)
    part = study.rig.parts.get(upper)
    holding = _holdings(study).get(upper)
    plate = _plate(part) if part is not None and holding is not None else None
    if found.up_to_A is None or found.prospective_A is None or holding is None or plate is None:
        return judge(a, b, found.missing or (f"{lower}.class",), breaker_above=not _is_fuse(part))
    return judge_curves(a, b, found, holding, plate)


@once
def _holdings(study: Study) -> dict[str, Holding | None]:
    """What every part that opens on a current holds, by its own rating."""
    parts = {d.part: study.rig.parts[d.part] for d in wiring_of(study.rig, study.graph).device_at.values()}
    return {name: holding_of(part, _rated(part)) for name, part in parts.items()}


def _is_fuse(part: Part | None) -> bool:
    return part is not None and part.kind.name == "fuse"


def _plate(part: Part) -> Figure | None:
    return known(part.figure("melting" if _is_fuse(part) else "instant_low"))


def _rated(part: Part) -> float | None:
    rated = known(part.figure("rated"))
    return rated.value if rated is not None else None


def _judged_alternating(study: Study, upper: str, below: dict[str, tuple[Figure, Figure]]) -> Judgement:
    """One breaker against the largest of those behind it, and against the greatest fault behind any."""
    if len(below) == 1:
        return skipped(
            f"It and {next(iter(below))} stand in one circuit: whichever opens, the same goes dark."
        )
    own, largest = max(below.values(), key=lambda x: x[1].value)
    lows = _opens_from(study, upper)
    opens_at = None if lows is None else figure(work(part_A, part_ratio=lows, rated_A=own, worst="low").value, "A", COMPUTED, address=f"{upper} may open at once from")  # fmt: skip
    elements, devices = study.graph.elements, wiring_of(study.rig, study.graph).device_at
    ends = [t for n, d in devices.items() if d.id in below for t in (elements[n].a, elements[n].b)]
    faults = [f for t in ends if (f := study.ac_faults.get(t)) is not None]
    flows = [f.max_A for f in faults if f.max_A is not None]
    most_A = figure(max(flows), "A", COMPUTED, address=f"greatest fault behind {upper}") if flows else None
    asks = () if opens_at is not None else (f"{upper.removesuffix('.main')}.curve",)
    lost = () if flows else tuple(m for f in faults for m in f.missing)
    return judge_alternating(own, largest, opens_at, most_A, (*asks, *lost))


def _opens_from(study: Study, device: str) -> Figure | None:
    """The multiple from which a breaker may open at once: of its page, else the lower end of its curve."""
    parts = study.rig.parts
    part = parts.get(device) or parts.get(device.rpartition(".")[0])
    if part is None:
        return None
    printed = known(part.figure("instant_low")) if "instant_low" in part.kind.figures else None
    curve = part.word("curve") if "curve" in part.kind.words else ""
    return printed or (find(f"alternating/curve-{curve}-low").figure if curve in ("b", "c", "d") else None)


def _pairs(
    study: Study, side: Callable[[Study, Conductor], bool]
) -> dict[tuple[str, str], tuple[Figure, Figure]]:
    """(upper, lower) devices of one side with their ratings: the upper guards a conductor that the lower stands on."""
    found: dict[tuple[str, str], tuple[Figure, Figure]] = {}
    rated: dict[str, Figure] = {}
    at: dict[str, set[str]] = {}
    for name, device in wiring_of(study.rig, study.graph).device_at.items():
        e, figure = study.graph.elements[name], known(device.rated)
        if figure is not None:
            rated[device.id] = figure
            at.setdefault(device.id, set()).update(n for t in (e.a, e.b) for n in study.graph.at.get(t, ()))
    below: dict[tuple[str, str], None] = {}
    above: dict[tuple[str, str], set[str]] = {}
    for name, guarding in study.guards.items():
        c = study.graph.conductors[name]
        if side(study, c) and c.pole != "N":
            for g in guarding.guards:
                if g.device in rated and (g.limited_A is None or side is is_alternating):
                    below[g.source, g.device or ""] = None
                    above.setdefault((g.source, name), set()).add(g.device or "")
    for source, lower in below:
        uppers = {u for name in at[lower] for u in above.get((source, name), ()) if u != lower}
        for upper in sorted(uppers):
            mates = _mates(study, upper)
            if lower not in mates:
                found[upper, lower] = added([rated[m] for m in mates if m in rated]), rated[lower]
    for panel in study.rig.of_kind("panel-ac") if side is is_alternating else ():
        main = rated.get(f"{panel.id}.main")
        ways = {f"{panel.id}.{n}": rated[f"{panel.id}.{n}"] for n in panel.ways if f"{panel.id}.{n}" in rated}
        found.update(
            {(f"{panel.id}.main", way): (main, own) for way, own in ways.items() if main is not None}
        )
    if side is is_alternating:
        return found
    return {k: v for k, v in found.items() if (k[1], k[0]) not in found or v[0].value >= v[1].value}


def _mates(study: Study, device: str) -> tuple[str, ...]:
    """The same device of every member of a bank: they feed side by side."""
    part = study.rig.parts.get(device)
    if part is None or not part.group:
        return (device,)
    last = device.rpartition(".")[2]
    return tuple(p.id for p in study.rig.parts.values() if p.group == part.group and p.id.rpartition(".")[2] == last and p.id.count(".") == device.count(".") and p.record.id == part.record.id)  # fmt: skip
