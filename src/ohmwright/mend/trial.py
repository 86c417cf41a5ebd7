"""Trying a change: the text is read again and judged by the rules; nothing is reckoned backwards."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from ohmwright.checks import engine
from ohmwright.checks.types import Finding
from ohmwright.mend.types import Change, Edit
from ohmwright.rig.read import read_rig
from ohmwright.shelf.record import Shelf
from ohmwright.study import Study
from ohmwright.working import OhmwrightError, known

Heirs = Mapping[str, str]
ONE_LACK = ("mains/neutral-earth",)
#: Rules whose question a device with a plate answers, where the device that stands there has none.
PLATED = ("battery/interrupt-rating", "wiring/dc-rating")
#: What a study finds out from the text alone.
OF_THE_TEXT = ("graph", "cases", "faults", "ac_faults", "takeoff", "spots", "surfaces", "roof_fit")
CURRENTS = "_solutions"
#: What a first look may take over from the study of a rig of the same wires.
OF_THE_WIRES = ("guards", "proofs")
#: Studies kept of texts that may be asked for again.
MOST_KEPT = 32
SEVERITIES = ("danger", "fails", "disappoints")


@dataclass(frozen=True, slots=True)
class Draft:
    """A text that reads, its study, and everything the rules say of it.

    One that is not `exact` rests on currents, guards and proofs of a rig of the same wires: a first look only.
    """

    text: str
    study: Study
    findings: tuple[Finding, ...]
    exact: bool = True


@dataclass(slots=True)
class _Kept:
    """The study of a text, and the first looks at it: what these found out about the text alone is the study's too."""

    own: Study
    looks: list[tuple[Study, tuple[str, ...]]] = field(default_factory=list)

    def gathered(self) -> Study:
        for look, names in self.looks:
            for name in names:
                if name in look.__dict__:
                    self.own.__dict__.setdefault(name, look.__dict__[name])
        return self.own


class Trials:
    """Reads and judges texts of one rig file."""

    def __init__(
        self, file: str, shelf: Shelf, today: str, heed: Callable[[int, str], None] | None = None
    ) -> None:
        self.heed = heed
        self.about = ""
        """The finding in hand, for whoever waits."""
        self.file = file
        self.shelf = shelf
        self.today = today
        self.count = 0
        self._studies: dict[str, _Kept] = {}
        self._edits: dict[tuple[str, Edit], str | None] = {}

    def read(self, text: str) -> Study | None:
        """The study of a text, or None when the reader refuses it."""
        self.count += 1
        if self.heed is not None:
            self.heed(self.count, self.about)
        kept = self._kept(text)
        return kept.gathered() if kept is not None else None

    def _kept(self, text: str) -> _Kept | None:
        kept = self._studies.pop(text, None)
        if kept is None and (study := self._first(text)) is not None:
            kept = _Kept(study)
        if kept is not None:
            self._studies[text] = kept
            if len(self._studies) > MOST_KEPT:
                del self._studies[next(iter(self._studies))]
        return kept

    def _first(self, text: str) -> Study | None:
        try:
            return Study(read_rig(text, self.file, self.shelf), today=self.today)
        except OhmwrightError:
            return None

    def edited(self, text: str, changes: Iterable[Change]) -> str | None:
        """The text with the changes done in their order, or None where one does not fit."""
        for edit in (e for change in changes for e in change.edits):
            if (text, edit) not in self._edits:
                self._edits[text, edit] = self._applied(text, edit)
            done = self._edits[text, edit]
            if done is None:
                return None
            text = done
        return text

    def _applied(self, text: str, edit: Edit) -> str | None:
        try:
            return edit.apply(text, self.file)
        except OhmwrightError:
            return None

    def draft(self, text: str) -> Draft | None:
        """A text judged by every rule of its set."""
        study = self.read(text)
        return Draft(text, study, engine.run(study)) if study is not None else None

    def quick(self, text: str, like: Study | None) -> Study | None:
        """As `read`; with `like` it takes over what the wires of that study say: for a first look only."""
        return self.read(text) if like is None else self._look(text, like, OF_THE_WIRES)

    def glance(self, text: str, like: Study) -> Draft | None:
        """As `draft`, with the currents, guards and proofs of a rig of the same wires: for a first look only."""
        study = self._look(text, like, (*OF_THE_WIRES, CURRENTS))
        return Draft(text, study, engine.run(study), exact=False) if study is not None else None

    def _look(self, text: str, like: Study, lent: Collection[str]) -> Study | None:
        own = self.read(text)
        if own is None:
            return None
        look = Study(own.rig, today=self.today)
        names = OF_THE_TEXT if CURRENTS in lent else (*OF_THE_TEXT, CURRENTS)
        look.__dict__.update({n: own.__dict__[n] for n in names if n in own.__dict__})
        look.__dict__.update({n: getattr(like, n) for n in lent})
        self._studies[text].looks.append((look, names))
        return look

    def judged(self, study: Study, rules: Collection[str]) -> tuple[Finding, ...]:
        """What some rules say."""
        return engine.run(study, only=rules)


def looked_for(finding: Finding) -> bool:
    """Only eyes can settle it."""
    return any(m.startswith("looked-at") for m in finding.missing)


def is_open(finding: Finding) -> bool:
    """A danger, fails or disappoints that fails."""
    return finding.verdict == "fail" and finding.severity in SEVERITIES


def untold(finding: Finding) -> bool:
    """A danger that cannot be told for want of a figure."""
    return finding.verdict == "cannot-tell" and finding.severity == "danger" and not looked_for(finding)


def plateless(finding: Finding) -> bool:
    """A device of which the file knows no plate: another one, with a plate, can be judged."""
    return (
        untold(finding)
        and finding.rule in PLATED
        and bool(finding.missing)
        and all(m.startswith(f"{finding.subject}.") for m in finding.missing)
    )


def base(subject: str, heirs: Heirs) -> str:
    """The subject as the first file called it: a piece that was split off counts as its run."""
    head, dot, rest = subject.partition(".")
    while head in heirs:
        head = heirs[head]
    return head + dot + rest


def key(finding: Finding, heirs: Heirs) -> tuple[str, str]:
    """What a finding is about. An absent neutral-earth join is one lack, at however many outlets it is told.

    Metal that the join does not reach, and a join behind a residual-current device, are lacks of their own.
    """
    at_outlets = "." in finding.subject or finding.value is not None
    one = finding.rule in ONE_LACK and at_outlets
    return finding.rule, "" if one else base(finding.subject, heirs)


def groups(findings: Iterable[Finding], heirs: Heirs) -> dict[tuple[str, str], int]:
    """Dangers that fail, counted by rule and subject."""
    out: dict[tuple[str, str], int] = {}
    for f in findings:
        if f.verdict == "fail" and f.severity == "danger":
            k = key(f, heirs)
            out[k] = 1 if f.rule in ONE_LACK else out.get(k, 0) + 1
    return out


def weight(findings: Sequence[Finding]) -> tuple[int, int, int, int]:
    """What is open, the gravest first: the fewer the better, and no number of lesser ones outweighs a greater."""
    fails = {s: sum(f.verdict == "fail" and f.severity == s for f in findings) for s in SEVERITIES}
    return fails["danger"], sum(untold(f) for f in findings), fails["fails"], fails["disappoints"]


def loaded(study: Study, parts: Collection[str]) -> dict[str, float]:
    """The greatest lasting current of each part over its rating, in the solved cases; parts without a rating are left out."""
    rated: dict[str, float] = {}
    own: dict[str, list[str]] = {}
    for name in parts:
        part = study.rig.parts.get(name)
        found = [part.figure(n) for n in ("continuous", "rated")] if part is not None else []
        given = next((f for g in found if (f := known(g)) is not None and f.unit == "A"), None)
        if given is not None and given.value > 0:
            rated[name] = given.value
    for e in study.graph.elements.values():
        if e.owner in rated and e.kind in ("conductor", "switch"):
            own.setdefault(e.owner, []).append(e.id)
    out: dict[str, float] = {}
    if not own:
        return out
    for name, case in study.cases.items():
        if case.seconds is not None or case.missing:
            continue
        solution = study.solution(name)
        if solution.converged:
            for part_id, elements in own.items():
                amps = max(abs(solution.elements_A.get(e, 0.0)) for e in elements)
                out[part_id] = max(out.get(part_id, 0.0), amps / rated[part_id])
    return out
