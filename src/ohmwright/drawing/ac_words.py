"""The states of the AC side in words of the people who set them: what is switched, plugged in, running."""

from collections.abc import Iterator, Mapping, Sequence

from ohmwright.drawing.ac_rows import AcRow, Island
from ohmwright.drawing.lettering import turned
from ohmwright.rig.model import Rig

When = Sequence[tuple[str, tuple[str, ...]]]

_HAND = {"on": "on", "charger-only": "on charger only", "off": "off"}
_STANDS = {
    "passing": "passes the supply through",
    "inverting": "makes AC from the bank",
    "off": "gives no AC",
}
_SWITCHED = {"closed": "on", "open": "off or tripped"}


def source_words(rig: Rig, owner: str) -> str:
    """A source by what it is and its name: `supply post SUP`."""
    part = rig.parts.get(owner)
    return f"{part.kind.title.split(',')[0]} {owner}" if part is not None else owner


def stands_words(part: str, state: str) -> str:
    """What an automatic device does: `U2 passes the supply through`."""
    return f"{part} {turned(_STANDS.get(state, state))}"


def join_words(rig: Rig, name: str) -> str:
    """Where neutral and earth are joined: at a run, or inside a part."""
    if name in rig.runs:
        return f"by run {name}"
    owner = name.partition(".")[0]
    return f"in {owner}" if owner in rig.parts else name


def when_words(rig: Rig, row: AcRow) -> tuple[str, ...]:
    """What hands and the world outside have set, a line each."""
    cords = _cords(rig, row.when)
    out = []
    for name, states in row.when:
        cord = name.partition(".")[0]
        if cord in cords:
            if told := cords.pop(cord):
                out.append(told)
        elif cord not in rig.runs or not name.endswith((".from", ".to")):
            asked = ", not known" if name in row.unknown else ""
            out.append(f"{_set(rig, name, states)}{asked}")
    return tuple(out)


def _cords(rig: Rig, when: When) -> dict[str, str]:
    """Cords with both ends in: one line for two."""
    ends: dict[str, list[str]] = {}
    for name, states in when:
        run, _, end = name.rpartition(".")
        if run in rig.runs and end in ("from", "to"):
            ends.setdefault(run, []).append(f"{end} {' or '.join(states)}")
    return {run: _cord(run, told) for run, told in ends.items()}


def _cord(run: str, told: Sequence[str]) -> str:
    if sorted(told) == ["from in", "to in"]:
        return f"cord {run} plugged in at both ends"
    names = {"from": "its supply end", "to": "its far end"}
    said = (f"{names[t.partition(' ')[0]]} {t.partition(' ')[2]}" for t in told)
    return f"cord {run}: {', '.join(said)}"


def _set(rig: Rig, name: str, states: tuple[str, ...]) -> str:
    owner, _, what = name.partition(".")
    part = rig.parts.get(owner)
    if what == "hand":
        return f"{turned(source_words(rig, owner))} {_either(states, _HAND)}"
    if what == "system":
        return f"{owner}'s neutral {_either(states, {'closed': 'earthed', 'open': 'not earthed'})}"
    if part is not None and not what:
        if set(states) <= set(_SWITCHED):
            return f"{owner} {_either(states, _SWITCHED)}"
        if all(s.isdigit() for s in states):
            return f"{owner} at {' or '.join(states)}"
        return f"{source_words(rig, owner)} {' or '.join(states)}"
    if name.endswith("-running"):
        return f"{name.removesuffix('-running')} {' or '.join(states)}"
    return f"{name}: {' or '.join(states)}"


def _either(states: tuple[str, ...], words: Mapping[str, str]) -> str:
    """One of several states; each is turned by itself, so that a sentence of any of them is found in another language."""
    return " or ".join(turned(words.get(s, s)) for s in states)


def walked_words(rig: Rig, names: Sequence[str]) -> Iterator[str]:
    """What was varied: `the switch of U2`, `supply post SUP`, `cord C1`."""
    seen = set()
    for name in names:
        owner, _, what = name.partition(".")
        if what == "hand":
            told = f"the switch of {owner}"
        elif what == "system":
            told = f"the earthing of {owner}"
        elif owner in rig.runs:
            told = f"cord {owner}"
        elif name.endswith("-running"):
            told = f"the {name.removesuffix('-running')}"
        else:
            told = source_words(rig, name)
        if told not in seen:
            seen.add(told)
            yield told


def joins_words(rig: Rig, island: Island, several: bool) -> str:
    """The joins of neutral and earth behind a source; its name where several feed at once."""
    lead = f"{island.source}: " if several else ""
    if not island.joins:
        return f"{lead}NONE"
    more = "  TWO OR MORE" if len(island.joins) > 1 else ""
    return f"{lead}{', '.join(join_words(rig, j) for j in island.joins)}{more}"


def watched_words(island: Island) -> list[str]:
    """Which device watches which circuits."""
    out = []
    for guard, circuits in island.watched:
        names = "; ".join(circuits)
        blind = ", blind to a fault to earth: no join," if guard and not island.joins else ""
        watch = "watch" if " + " in guard else "watches"
        out.append(f"{guard}{blind} {watch} {names}" if guard else f"no device watches {names}")
    return out or [f"{island.source} feeds converters only"]
