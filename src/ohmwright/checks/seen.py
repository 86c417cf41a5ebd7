"""What a look was of, as a mark in the file: when that has changed since, the look no longer answers.

A mark has three words of four letters: what the subject is, where it stands, and what lies around it or lands on it as far
as the rule looks there.  It holds no name of the file, so that renaming changes nothing, and no figure that somebody may
measure later.
"""

import hashlib

from ohmwright.checks.gather import once
from ohmwright.rig.model import Load, Part, Place, Rig, Run
from ohmwright.study import Study
from ohmwright.working import NotThere

#: Rules that look at what lands on a part, at what stands in the same place, and at every run of the rig.
LANDS = ("array/stays-live", "array/connectors", "array/touch-voltage", "array/frame-bond", "array/portable-input", "wiring/polarised", "wiring/precharge", "charging/load-dump")  # fmt: skip
BESIDE = ("place/spark-distance",)
RUNS = ("wiring/chafe", "wiring/fit", "wiring/engine-bay")
#: Kinds whose coming, going or moving makes a look at the whole rig an old one.
WEIGHTY = ("battery", "generator", "inverter", "inverter-charger", "module", "mounting", "shore-inlet", "electrode")  # fmt: skip
WHAT = ("what it is", "where it stands", "what is around it or lands on it")
WHOLE = ("the host", "its parts or their places", "its runs")


def mark_of(study: Study, rule: str, subject: str) -> str:
    """The mark of what a rule looks at in this rig.

    Every rule looks at the part and its place; some at what lands there or stands beside it; of the whole rig at its places and
    what is weighty in it, or at its runs.
    """
    return _seen(study).mark(rule, subject)


def changed(subject: str, then: str, now: str) -> tuple[str, ...]:
    """What of a subject is not as it was; all of it where the mark of then is none.

    >>> changed("B", "1a2b.3c4d.5e6f", "1a2b.0000.5e6f")
    ('where it stands',)
    """
    told = WHOLE if subject in ("rig", "host") else WHAT
    before, after = then.split("."), now.split(".")
    if len(before) != len(after):
        return told
    return tuple(x for x, a, b in zip(told, before, after, strict=True) if a != b)


def _word(facet: object) -> str:
    return hashlib.sha256(repr(facet).encode()).hexdigest()[:4]


Facets = tuple[object, object, object]


class _Seen:
    """What of one rig can be looked at."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.landing: dict[str, list[Run]] = {}
        self._whole: dict[bool, str] = {}
        self._groups: dict[str, list[Part]] = {}
        for part in rig.parts.values():
            if part.group and part.kind.name != "fuse":
                self._groups.setdefault(part.group, []).append(part)
        for run in rig.runs.values():
            for end in {e.partition(".")[0] for core in run.cores for e in (core.a, core.b)}:
                self.landing.setdefault(end, []).append(run)

    def mark(self, rule: str, subject: str) -> str:
        """The mark; of the whole rig it is made once for all rules that look alike."""
        if subject not in ("rig", "host"):
            return ".".join(map(_word, self.facets(rule, subject)))
        wiring = rule in RUNS
        if wiring not in self._whole:
            self._whole[wiring] = ".".join(map(_word, self.facets(rule, subject)))
        return self._whole[wiring]

    def facets(self, rule: str, subject: str) -> Facets:
        """What it is, where it stands, what is around it."""
        rig = self.rig
        if subject in rig.runs:
            return self._run(rig.runs[subject])
        if (load := rig.use.loads.get(subject)) is not None:
            return self._load(load)
        parts = self._parts(subject)
        if parts:
            stands = tuple((self.place(p.place), p.standing, p.laid, p.turned) for p in parts)
            return tuple(_is(p) for p in parts), stands, self._around(rule, parts)
        if (place := rig.host.places.get(subject.removeprefix("host."))) is not None:
            return (), self.place(place.id), self._in(place.id)
        if rule in RUNS:
            return rig.host.kind, (), sorted(repr(self._run(r)) for r in rig.runs.values())
        places = sorted(repr(self.place(name)) for name in rig.host.places)
        weighty = sorted(repr((_is(p), self.place(p.place))) for p in _single(rig) if p.kind.name in WEIGHTY)
        return rig.host.kind, (places, weighty), ()

    def _parts(self, subject: str) -> list[Part]:
        """The part, or the members of the group of that name; of a port or a string, its part."""
        while subject:
            if subject in self._groups:
                return self._groups[subject]
            if subject in self.rig.parts:
                return [self.rig.parts[subject]]
            subject = subject.rpartition(".")[0]
        return []

    def _around(self, rule: str, parts: list[Part]) -> object:
        if rule in BESIDE:
            return tuple(self._in(name) for name in dict.fromkeys(p.place for p in parts))
        heads = dict.fromkeys(p.id.partition(".")[0] for p in parts) if rule in LANDS else ()
        return sorted(repr(self._run(r)) for h in heads for r in self.landing.get(h, ()) if not r.part_of)

    def _in(self, place: str) -> object:
        """The parts of a place."""
        return sorted(_is(p) for p in _single(self.rig) if p.place == place)

    def place(self, name: str) -> object:
        """A place by what it is and where it lies, up to the outermost that it lies inside of."""
        found: list[object] = []
        place: Place | None = self.rig.host.places.get(name)
        while place is not None:
            open_ = bool(place.vents) or not isinstance(place.figures.get("vents", NotThere()), NotThere)
            found.append((place.regime, place.at, place.words.get("vapour", ""), open_))
            place = self.rig.host.places.get(place.words.get("inside", ""))
        return tuple(found)

    def _run(self, run: Run) -> Facets:
        ends = sorted(self._end(e) for core in run.cores for e in (core.a, core.b))
        way = [w for w in run.route if w in self.rig.host.ways]
        ways = tuple((self.place(self.rig.host.ways[w].a), self.place(self.rig.host.ways[w].b)) for w in way)
        return (run.cable.text, run.role, run.plugs), ways, tuple(ends)

    def _end(self, terminal: str) -> tuple[str, str]:
        """The pole and the record of a terminal; of a bank the battery alone, which is so however the bank is written."""
        found = self._parts(terminal) if terminal not in self.rig.metal else []
        if not found:
            return _pole(terminal), ""
        group = self._groups.get(found[0].group)
        return ("", _is(group[0])) if group else (_pole(terminal), _is(found[0]))

    def _load(self, load: Load) -> Facets:
        fed = tuple((pole, way.rpartition(".")[2]) for pole, way in load.fed.items())
        return (fed, load.wired), self.place(load.place), ()


def _single(rig: Rig) -> list[Part]:
    """Parts and members of groups: a group that is written out is the same."""
    return [p for p in rig.parts.values() if not (p.join or p.count > 1 or p.strings)]


def _is(part: Part) -> str:
    return part.record.id


def _pole(terminal: str) -> str:
    return terminal.partition(".")[2]


@once
def _seen(study: Study) -> _Seen:
    """What of a study's rig can be looked at."""
    return _Seen(study.rig)
