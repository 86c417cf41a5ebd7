"""What papers are made from: the study of a rig, its findings, its year; and the head that all papers bear."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeVar

from ohmwright.checks.types import Finding
from ohmwright.drawing.qr import least_mm
from ohmwright.energy.types import Year
from ohmwright.papers.catalogue import Words
from ohmwright.papers.dates import with_dates
from ohmwright.papers.doc import Block, Cautions, Code, Doc, Head
from ohmwright.papers.figures import banks, fault_kA, stored_kWh
from ohmwright.papers.letters import spelt
from ohmwright.papers.phrases import Phrases, names_in, phrases_of, told_in
from ohmwright.papers.tasks import Tasks, packaged_tasks
from ohmwright.papers.units import Units, in_us
from ohmwright.rig.model import Rig
from ohmwright.shelf.record import Shelf
from ohmwright.study import Study
from ohmwright.takeoff.order import Bench
from ohmwright.takeoff.types import Takeoff
from ohmwright.working import Origin

Size = Literal["a4", "us-letter"]
T = TypeVar("T")
#: Size of the code on labels and binder, and the most letters that stay legible in it.
CODE_mm, MOST_CODED = 22.0, 60


@dataclass(frozen=True, slots=True)
class Material:
    """A rig with everything that is derived from it, ready for paper."""

    study: Study
    findings: tuple[Finding, ...]
    statement: str
    not_applied: tuple[tuple[str, str], ...]
    year: Year | None
    year_note: str
    shelf: Shelf
    words: Words
    program: str
    dated: str
    revision: str
    stage: str
    missing: Mapping[str, tuple[str, ...]]
    size: Size
    bench: Bench | None = None
    """What is cut already and what lies over, by the ledger of the job."""
    view: Literal["", "metric", "us"] = ""
    """Units of the papers where they are not the job's."""
    tasks: Tasks = field(default_factory=packaged_tasks)
    """Minutes, rates and margin: the shop's table, or common practice."""
    stock: Mapping[str, int] | None = None
    """What lies in the shop by shelf entry; None where no list of it is kept."""
    bought: frozenset[str] = frozenset()
    """Addresses of parts that the ledger says were ordered or bought."""
    options: tuple["Material", ...] = ()
    """What the quote offers beside this rig."""
    options_note: tuple[str, ...] = ()
    """Options that the file names and that could not be read."""

    @property
    def rig(self) -> Rig:
        """The rig."""
        return self.study.rig

    @property
    def units(self) -> Units:
        """The view that was asked for, or else the job's."""
        return Units((self.view or self.rig.job.units) == "us")

    @property
    def takeoff(self) -> Takeoff:
        """What is counted."""
        return self.study.takeoff

    def said(self, text: str) -> str:
        """A sentence of a lower floor in the language and the units of the paper."""
        told = self.phrases.said(text) if self.words.sentences else text
        return with_dates(in_us(told) if self.units.us else told, self.words)

    @property
    def phrases(self) -> Phrases:
        """The sentences of lower floors in the language of the paper."""
        return phrases_of(self.words.language, names_in(self.rig))

    def told(self, value: T) -> T:
        """Blocks or tables with every sentence in the language and the units of the paper."""
        if self.words.sentences:
            value = told_in(value, self.phrases.said)
        if self.units.us:
            value = told_in(value, in_us)
        return told_in(value, lambda text: with_dates(text, self.words))

    def head(self, paper: str) -> Head:
        """The title block of the paper called `paper` in the catalogue."""
        w, job = self.words, self.rig.job
        return Head(
            job=job.id or self.rig.file,
            title=job.title,
            paper=w.say(f"{paper}.title"),
            revision=self.revision or w.say("head.no-revision"),
            stage=self.stage or w.say("head.no-stage"),
            rules=f"{job.rules} {job.edition}".strip() or w.say("head.no-rules"),
            dated=self.dated,
            sha256=self.rig.sha256[:12],
            program=self.program,
            deference=w.say("head.deference"),
            names=w.all("head.cells"),
        )

    def doc(self, paper: str, blocks: list[Block], *, lying: bool = False, card: bool = False) -> Doc:
        """A paper of these blocks, spelt with the letters that the faces have."""
        made = Doc(self.head(paper), self.told(tuple(blocks)), self.size, lying, self.words.language, card)
        return spelt(made, self.words)

    def origin(self, origin: Origin) -> str:
        """Where a figure is from: a document of the file by its title, for who does not have the file at hand."""
        source = self.rig.sources.get(origin.tag)
        if origin.kind != "source" or source is None:
            return str(origin)
        return ", ".join(x for x in (source.title, origin.page, source.dated) if x)

    def code(self) -> Code:
        """Which job, revision and file this is, for a telephone: so that a label finds the as-built among many."""
        text = " ".join(x for x in (self.rig.job.id or "rig", self.revision or "-", self.rig.sha256[:12]))[
            :MOST_CODED
        ]
        size = max(CODE_mm, least_mm(text))
        return Code(text, self.words.say("head.code", told=text), size)

    def cautions(self, *names: str) -> Cautions:
        """The cautions that belong where the hand is."""
        told = tuple(
            self._bank_energy() if n == "bank-energy" else self.words.say(self._caution(n)) for n in names
        )
        return Cautions(told, self.words.say("caution.title"))

    def _caution(self, name: str) -> str:
        """The key of a caution: what is said of this host in particular, else what is said of all."""
        own = f"caution.{name}-{self.rig.host.kind}"
        return own if own in self.words.texts else f"caution.{name}"

    def _bank_energy(self) -> str:
        """What the banks hold together, and the largest fault at any of them."""
        stored = [stored_kWh(self.rig, b) for b in banks(self.rig)]
        pushed = [float(k) for b in banks(self.rig) if (k := fault_kA(self.study, b))]
        known_kWh = f"{sum(float(k) for k in stored if k):.1f}"
        holds = self.words.say("caution.unknown-kWh")
        if any(stored):
            holds = known_kWh if all(stored) else self.words.say("caution.at-least", kWh=known_kWh)
        if not pushed:
            return self.words.say("caution.bank-energy-unknown", kWh=holds)
        return self.words.say("caution.bank-energy", kWh=holds, kA=f"{max(pushed):.1f}")
