"""A finding that asks for an answer, with everything a proposal may look at."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from ohmwright.checks.types import Finding
from ohmwright.kinds.base import COMMON_FIGURES, COMMON_WORDS
from ohmwright.mend.shop import Shop
from ohmwright.mend.trial import Draft, Heirs, Trials
from ohmwright.rig import shape
from ohmwright.rig.landing import landings
from ohmwright.rig.model import Cable, Part, Rig, Run
from ohmwright.study import Study
from ohmwright.working import Given, known

#: Length of the piece between a post and a device that is set at it.
PIECE_m = 0.1
#: What a device is, beside its figures: words that belong to the record that goes.
DEVICE_KINDS = (
    "fuse", "breaker", "pv-disconnect", "battery-switch", "switch", "contactor", "inverter", "inverter-charger", "pv-controller", "dcdc-charger",
)  # fmt: skip
#: Words of a device's kind that say how it is wired in, and hold for whatever stands there.
WIRED_WORDS = ("run_by",)


@dataclass(frozen=True, slots=True)
class Ask:
    """One open finding in one draft."""

    draft: Draft
    finding: Finding
    shop: Shop
    trials: Trials
    found: Study | None = None
    """The study of the rig as it was found, before any change."""
    heirs: Heirs = field(default_factory=dict)
    """Pieces that were split off, by the run they came from."""

    @property
    def study(self) -> Study:
        """The study of the draft."""
        return self.draft.study

    @property
    def rig(self) -> Rig:
        """The rig of the draft."""
        return self.draft.study.rig

    @property
    def today(self) -> str:
        """The day of the proposal, for what is asked anew."""
        return self.trials.today or date.min.isoformat()


def free_id(rig: Rig, letter: str) -> Iterator[str]:
    """Ids of that letter that nothing in the file has."""
    taken = {
        n.partition(".")[0]
        for n in (*rig.parts, *rig.runs, *rig.use.loads, *rig.host.places, *rig.metal, *rig.cases)
    }
    numbers = [int(m[1]) for n in taken if (m := re.fullmatch(rf"{letter}(\d+)", n))]
    n = max(numbers, default=0) + 1
    while True:
        name = f"{letter}{n:02d}" if letter == "W" else f"{letter}{n}"
        n += 1
        if name not in taken:
            yield name


@dataclass(frozen=True, slots=True)
class Laid:
    """Where the cable of a conductor is written: a run, the links or leads of a group, the branch of a load."""

    path: str
    address: str
    cable: Cable
    metres: float | None
    keys: tuple[str, ...] = ()


def laid(study: Study, conductor: str) -> Laid | None:
    """The line that names a conductor's cable, with the metres of it that are bought."""
    c = study.graph.conductors.get(conductor) or next(
        (x for x in study.graph.conductors.values() if x.run == conductor), None
    )
    if c is None:
        return None
    run = study.rig.runs.get(c.run)
    whose = run.part_of if run is not None else ""
    if whose in study.rig.use.loads:
        return Laid(f"use.loads.{whose}.cable", whose, c.cable, c.length_m)
    if whose in study.rig.parts:
        return _joined(study.rig, study.rig.parts[whose], c.run)
    if run is None:
        return None
    times = max(1, len(run.cores)) / max(1, run.cable.cores)
    metres = None if c.length_m is None else c.length_m * max(1.0, times)
    return Laid(f"runs.{c.run}.cable", c.run, run.cable, metres, ("runs", c.run))


def _joined(rig: Rig, group: Part, run: str) -> Laid | None:
    what = run.removeprefix(f"{group.id}.").rstrip("0123456789")
    if group.join is None or what not in ("link", "lead"):
        return None
    cable = group.join.link if what == "link" else group.join.lead
    length = known(group.join.link_length if what == "link" else group.join.lead_length)
    pieces = sum(
        len(r.cores)
        for r in rig.runs.values()
        if r.part_of == group.id and r.id.startswith(f"{group.id}.{what}")
    )
    if cable is None:
        return None
    return Laid(
        f"parts.{group.id}.join.{what}",
        f"{group.id}.{what}",
        cable,
        length.value * pieces if length else None,
    )


def terminal_takes_mm2(study: Study, where: Laid) -> float | None:
    """The largest conductor that both ends of a run take, as far as their pages say."""
    run = study.rig.runs.get(where.address)
    if run is None:
        return None
    owners = {
        study.graph.terminals[t].owner for c in run.cores for t in (c.a, c.b) if t in study.graph.terminals
    }
    found = [
        f.value
        for o in owners
        if o in study.rig.parts and (f := known(study.rig.parts[o].figure("max_cable")))
    ]
    return min(found, default=None)


def part_path(rig: Rig, name: str) -> tuple[tuple[str, ...], int] | None:
    """Where the record of a part is written, and how many pieces that line stands for."""
    part = rig.parts.get(name)
    if part is None:
        return None
    if not part.group:
        return ("parts", name), max(1, part.count)
    group = rig.parts[part.group]
    words = name.removeprefix(f"{group.id}.").split(".")
    if len(words) == 2 and group.count > 1:
        return ("parts", group.id, "each", words[1]), group.count
    return None


def dropped(part: Part) -> frozenset[str]:
    """Keys of a part's entry that say what the old record was: they do not hold for another one."""
    names = {*part.kind.figures, *COMMON_FIGURES, "found"}
    if part.kind.name in DEVICE_KINDS:
        names |= {*part.kind.words, *COMMON_WORDS, "fitted"} - {*WIRED_WORDS}
    names |= {alias for alias, name in shape.SAME_FIGURE.items() if name in part.kind.figures}
    return frozenset({*names, *(n.replace("_", "-") for n in names)})


def conductors_of(path: tuple[str, ...], study: Study) -> list[str]:
    """The conductors in a finding's path, in their order."""
    return [p for p in path if p in study.graph.conductors]


def free_stud(study: Study, bar: str) -> str | None:
    """A stud of a bar on which nothing lands yet."""
    taken = landings(study.graph)
    studs = [
        t.id for t in study.graph.terminals.values() if t.owner == bar and t.port_role in ("stud", "earth")
    ]
    return next((s for s in studs if s not in taken), None)


def room_on(study: Study, terminal: str) -> bool:
    """Whether one more conductor may land there."""
    t = study.graph.terminals.get(terminal)
    landed = landings(study.graph).get(terminal)
    return t is not None and (landed is None or len(landed.conductors) < t.takes)


def landed(study: Study, terminal: str) -> bool:
    """Whether anything lands there."""
    found = landings(study.graph).get(terminal)
    return found is not None and bool(found.conductors)


def written_length(length: Given, *, less: float = 0.0) -> str:
    """A length as the file writes it, shortened; "" where the file leaves it to the route."""
    figure = known(length)
    if figure is not None:
        return "" if figure.origin.kind == "computed" else f"{max(figure.value - less, 0.02):.4g} m"
    from ohmwright.rig.ungroup import written

    return written(length)


def quoted(text: str) -> str:
    """A word as it stands in a map between braces."""
    from ohmwright.rig.splice import as_scalar
    from ohmwright.working import NOWHERE

    return as_scalar(text, NOWHERE)


def end_at(run: Run, terminal: str) -> str:
    """`from` or `to`: the end of a run that lies on a terminal; "" for neither."""
    if any(c.a == terminal for c in run.cores):
        return "from"
    return "to" if any(c.b == terminal for c in run.cores) else ""
