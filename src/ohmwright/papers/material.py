"""What papers are made from: the study of a rig, its findings, its year; and the head that all papers bear."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ohmwright.checks.types import Finding
from ohmwright.energy.types import Year
from ohmwright.papers.catalogue import Words
from ohmwright.papers.doc import Block, Cautions, Doc, Head
from ohmwright.papers.units import Units
from ohmwright.rig.model import Rig
from ohmwright.shelf.record import Shelf
from ohmwright.study import Study
from ohmwright.takeoff.types import Takeoff

Size = Literal["a4", "us-letter"]


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

    @property
    def rig(self) -> Rig:
        """The rig."""
        return self.study.rig

    @property
    def units(self) -> Units:
        """The view that the job asks for."""
        return Units(self.rig.job.units == "us")

    @property
    def takeoff(self) -> Takeoff:
        """What is counted."""
        return self.study.takeoff

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

    def doc(self, paper: str, blocks: list[Block], *, lying: bool = False) -> Doc:
        """A paper of these blocks."""
        return Doc(self.head(paper), tuple(blocks), self.size, lying, self.words.language)

    def cautions(self, *names: str) -> Cautions:
        """The cautions that belong where the hand is."""
        return Cautions(tuple(self.words.say(f"caution.{n}") for n in names), self.words.say("caution.title"))
