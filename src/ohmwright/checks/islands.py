"""What can stand on the terminals of a device: banks, chargers and other ends that push, and the highest volts."""

from ohmwright.checks.circuits import Bank, banks
from ohmwright.checks.gather import asked, once
from ohmwright.checks.shape import of_shape
from ohmwright.checks.walk import Reached, conducts, reach
from ohmwright.rig.graph import Element
from ohmwright.study import Study
from ohmwright.working import Figure


def own_elements(study: Study, part: str) -> tuple[Element, ...]:
    """The conducting elements inside a part."""
    return _by_owner(study).get(part, ())


@once
def _by_owner(study: Study) -> dict[str, tuple[Element, ...]]:
    """The conducting elements inside each part and of each run."""
    found: dict[str, list[Element]] = {}
    for e in study.graph.elements.values():
        if conducts(e):
            found.setdefault(e.owner, []).append(e)
    return {owner: tuple(those) for owner, those in found.items()}


def around(study: Study, part: str) -> Reached:
    """Everything that conducts to a part's main terminals; coils and signal ports left out."""
    return of_shape(study, ("around", part), lambda: _reached(study, part))


def _reached(study: Study, part: str) -> Reached:
    starts = {x for e in own_elements(study, part) for x in (e.a, e.b)}
    return reach(study.graph, sorted(starts))


def banks_at(study: Study, terminals: frozenset[str]) -> tuple[Bank, ...]:
    """Banks with a post among these terminals."""
    return tuple(b for b, posts in _posts(study) if not posts.isdisjoint(terminals))


@once
def _posts(study: Study) -> tuple[tuple[Bank, frozenset[str]], ...]:
    """Each bank with the terminals of its members."""
    of: dict[str, set[str]] = {}
    for t in study.graph.terminals.values():
        of.setdefault(t.owner, set()).add(t.id)
    return tuple((b, frozenset().union(*(of.get(m.id, ()) for m in b.members))) for b in banks(study.rig))


def bank_volts(bank: Bank) -> tuple[Figure | None, tuple[str, ...]]:
    """The most that a bank may stand at: its members' absolute maximum times their number in series."""
    volts = [asked(m.figure("charge_voltage_max")) for m in bank.members]
    lost = tuple(dict.fromkeys(a for v in volts if v.figure is None for a in v.missing))
    if lost:
        return None, lost
    highest = max((v.figure for v in volts if v.figure is not None), key=lambda f: f.value)
    n = bank.in_series
    return Figure(
        highest.value * n, "V", highest.low * n, highest.high * n, highest.origin, address=highest.address
    ), ()


def highest_volts(study: Study, part: str) -> tuple[Figure | None, tuple[str, ...]]:
    """The highest direct volts at a device: of the banks, else of the converters, that conduct to it."""
    reached = around(study, part)
    found: list[Figure] = []
    lost: list[str] = []
    for bank in banks_at(study, reached.terminals):
        volts, missing = bank_volts(bank)
        found += [volts] if volts is not None else []
        lost += missing
    if not found and not lost:
        for e in study.graph.elements.values():
            if (
                e.kind == "converter"
                and e.out_a in reached.terminals
                and study.graph.terminals[e.out_a].pole == "+"
                and e.owner in study.rig.parts
            ):
                given = asked(study.rig.parts[e.owner].figure("output_voltage"))
                found += [given.figure] if given.figure is not None else []
                lost += given.missing if given.figure is None else ()
            elif e.kind == "source" and e.role == "alternator" and e.a in reached.terminals:
                given = asked(study.rig.parts[e.owner].figure("voltage"))
                found += [given.figure] if given.figure is not None else []
                lost += given.missing if given.figure is None else ()
    return (
        (None, tuple(dict.fromkeys(lost))) if lost or not found else (max(found, key=lambda f: f.value), ())
    )


def pushers(study: Study, terminals: frozenset[str]) -> tuple[str, ...]:
    """Parts that can push direct current into any of these terminals: batteries, alternators, arrays, charger outputs."""
    found: dict[str, None] = {}
    for e in study.graph.elements.values():
        if (
            e.kind == "source"
            and e.a in terminals
            and study.graph.terminals[e.a].pole not in ("L", "L1", "L2")
        ) or (
            e.kind == "converter"
            and (e.out_a in terminals or (e.both_ways and e.a in terminals))
            and study.graph.terminals[e.out_a].port_role != "ac"
        ):
            found[e.owner] = None
    return tuple(found)
