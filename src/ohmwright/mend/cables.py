"""Answers by cable: the next size, and the next; a shorter way where the file has one."""

from dataclasses import replace

from ohmwright.mend.ask import Ask, Laid, laid, terminal_takes_mm2
from ohmwright.mend.edits import SetAt, TakeKeys
from ohmwright.mend.shop import Offer
from ohmwright.mend.types import Change, Edit, Ladder, Step
from ohmwright.rig.model import Cable
from ohmwright.rig.routes import Routes
from ohmwright.working import known


def larger(ask: Ask) -> list[Ladder]:
    """The conductor that the finding is about, in larger sizes; a ladder for each make of cable."""
    where = laid(ask.study, ask.finding.subject)
    return ladders(ask, (where,)) if where is not None else []


def ladders(ask: Ask, laid_cables: tuple[Laid, ...]) -> list[Ladder]:
    """All these cables together at least so large, size by size. Which of them need it is seen when the rest is dropped."""
    out: list[Ladder] = []
    makes: dict[tuple[str, str], dict[float, None]] = {}
    for where in laid_cables:
        for offers in ask.shop.cables(_as_found(ask, where)):
            for o in offers:
                makes.setdefault(_make(o), {}).setdefault(o.area_mm2)
    for make, areas in makes.items():
        rungs = []
        for area in sorted(areas):
            changes = tuple(c for where in laid_cables if (c := _change(ask, where, make, area)) is not None)
            if changes:
                rungs.append(Step(changes))
        out.append(Ladder(tuple(rungs), rising=True))
    return out


def _make(offer: Offer) -> tuple[str, str]:
    return offer.record.words.get("material", ""), offer.record.words.get("marking", "")


def _change(ask: Ask, where: Laid, make: tuple[str, str], area_mm2: float) -> Change | None:
    """One cable at the least size of that make that reaches `area_mm2`; None where it is that large already."""
    if where.cable.material != "cca" and (where.cable.area_mm2 or 0.0) >= area_mm2 * (1 - 1e-9):
        return None
    offers = [o for ladder in ask.shop.cables(_as_found(ask, where)) for o in ladder if _make(o) == make]
    offer = next(
        (o for o in sorted(offers, key=lambda o: o.area_mm2) if o.area_mm2 >= area_mm2 * (1 - 1e-9)), None
    )
    most_mm2 = terminal_takes_mm2(ask.study, where)
    if offer is None or (most_mm2 is not None and offer.area_mm2 > most_mm2 * 1.02):
        return None
    pieces = _pieces(ask, where)
    metres = where.metres
    for piece in pieces:
        metres = None if metres is None or piece.metres is None else metres + piece.metres
    price = ask.shop.metres(offer, where.cable, metres)
    if price is not None and not ask.shop.bought:
        price -= ask.shop.lying(where.cable, metres)
    edits: tuple[Edit, ...] = (
        *(SetAt(w.path, offer.text) for w in (where, *pieces)),
        *(TakeKeys(w.keys, frozenset({"found"})) for w in (where, *pieces) if w.keys),
    )
    becomes = f"{offer.text}, {', '.join(p.address for p in pieces)} too" if pieces else offer.text
    return Change("cable", where.address, where.cable.text, becomes, edits, price)


def _as_found(ask: Ask, where: Laid) -> Cable:
    """The make of cable that lay there at first: an answer that took another make binds the next one to nothing."""
    first = laid(ask.found, where.address) if ask.found is not None else None
    return replace(first.cable, area_mm2=where.cable.area_mm2) if first is not None else where.cable


def _pieces(ask: Ask, where: Laid) -> tuple[Laid, ...]:
    """Pieces that a new device cut off this run and that still are of its cable: they grow with it."""
    mine = [ask.rig.runs.get(name) for name, run in ask.heirs.items() if run == where.address]
    same = [r.id for r in mine if r is not None and r.cable.text == where.cable.text]
    return tuple(w for name in same if (w := laid(ask.study, name)) is not None)


def larger_on_the_way(ask: Ask) -> list[Ladder]:
    """Every conductor whose drop the finding counts."""
    names: dict[str, Laid] = {}
    for last in ask.finding.steps:
        for step in last.chain():
            for i in step.inputs:
                name = i.address.partition(" in case ")[0]
                where = laid(ask.study, name) if name in ask.study.graph.conductors else None
                if where is not None:
                    names[where.path] = where
    return [*ladders(ask, tuple(names.values())), *shorter(ask, tuple(names.values()))]


def shorter(ask: Ask, cables: tuple[Laid, ...]) -> list[Ladder]:
    """A run laid along the ways of the file, where these are shorter than what is written."""
    routes = Routes(ask.rig.host.ways)
    out = []
    for where in cables:
        run = ask.rig.runs.get(where.address)
        length = known(run.length) if run is not None else None
        if run is None or length is None or length.origin.kind == "computed" or run.via:
            continue
        a, b = (ask.study.graph.terminals[t].place for t in (run.cores[0].a, run.cores[0].b))
        route = routes.shortest(a, b) if a and b else None
        there = known(routes.length(route, run.id)) if route else None
        if there is None or there.value >= length.value * 0.95:
            continue
        metres = f"{there.value:.4g} m"
        change = Change(
            "length", run.id, f"{length.value:g} m", metres, (SetAt(f"runs.{run.id}.length", metres),),
            by_hand=f"lay {run.id} along {', '.join(route or ())} and measure it again",
        )  # fmt: skip
        out.append(Ladder((Step((change,)),)))
    return out
