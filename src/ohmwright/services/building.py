"""Building a rig: names, places and ways that are free, and what comes next."""

from ohmwright.kinds import find as kind_of
from ohmwright.mend.ask import free_id
from ohmwright.rig.model import Rig
from ohmwright.services.desk import Look
from ohmwright.services.ends import loose_things
from ohmwright.working import known, tell

_LETTERS_ALONE = ("M", "B")


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
