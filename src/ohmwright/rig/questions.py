"""What is still open in a rig, and every figure of it with bounds, origin and date."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ohmwright.rig.model import Rig
from ohmwright.rig.ports import is_group
from ohmwright.working import Absent, Figure, Given, NotThere, Unknown


@dataclass(frozen=True, slots=True)
class Question:
    """A figure that was asked and not had. `whom` is who is most likely to know."""

    address: str
    asked: str
    whom: str


@dataclass(frozen=True, slots=True)
class FigureLine:
    """A figure as `show --figures` prints it; value None: `unknown` or `none`, as `state` says."""

    address: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    origin: str
    dated: str
    text: str
    state: str


def open_questions(rig: Rig) -> tuple[Question, ...]:
    """Figures `unknown (asked ...)`, in the order of the file."""
    whom = _Whom(rig)
    seen: dict[str, Question] = {}
    for address, given in every_figure(rig):
        if isinstance(given, Unknown) and address not in seen:
            seen[address] = Question(address, given.asked, whom.of(address))
    return tuple(seen.values())


class _Whom:
    """By whom to ask: the maker for figures of a plate, the owner for his use, the survey for what is built."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig

    def of(self, address: str) -> str:
        """The word for who may know."""
        head = address.partition(".")[0]
        part = self.rig.parts.get(head) or self.rig.parts.get(address.rpartition(".")[0])
        name = address.rpartition(".")[2]
        if part is not None:
            if part.words.get("own") == "no" or name == "system":
                return "who runs the supply"
            return "survey" if part.record.bare or name in ("resistance", "found", "gap") else "maker"
        if address.startswith(("use.", "cases.")) or head in self.rig.use.loads:
            return "owner"
        if address.startswith("host.masses"):
            return "owner"
        return "survey"


def figures(rig: Rig) -> tuple[FigureLine, ...]:
    """Every figure that the rig has, of file and shelf, with what is known of it."""
    dated = {tag: s.dated for tag, s in rig.sources.items()}
    out = []
    for address, given in every_figure(rig):
        if isinstance(given, Figure):
            origin = given.origin
            out.append(
                FigureLine(
                    address, given.value, given.low, given.high, given.unit, str(origin), origin.dated or dated.get(origin.tag, ""),
                    given.text, "given",
                )
            )  # fmt: skip
        elif isinstance(given, Unknown):
            out.append(FigureLine(address, None, None, None, "", "", given.asked, "", "unknown"))
        elif isinstance(given, NotThere):
            out.append(FigureLine(address, None, None, None, "", "", "", "", "none"))
    return tuple(out)


def every_figure(rig: Rig, *, own: bool = False) -> Iterator[tuple[str, Given]]:
    """All figures with their addresses, of parts only their `own` where that is asked. A member that is like its group is told once, by the group."""
    yield from _named("host.masses", rig.host.masses)
    for place in rig.host.places.values():
        yield from _named(place.id, place.figures)
    for way in rig.host.ways.values():
        yield f"{way.id}.length", way.length
    for part in rig.parts.values():
        group = rig.parts.get(part.group)
        same = group is not None and group.record is part.record and group.figures == part.figures
        if not same:
            names = part.figures if own else dict.fromkeys((*part.figures, *part.record.figures))
            for name in names:
                yield f"{part.id}.{name}", part.figure(name)
        for number, given in part.ways.items():
            if not part.group:
                yield f"{part.id}.ways.{number}", given
        if is_group(part) and part.join is not None:
            yield f"{part.id}.join.link-length", part.join.link_length
            yield f"{part.id}.join.lead-length", part.join.lead_length
    for load in rig.use.loads.values():
        for name, by_label in (
            ("power", load.power),
            ("energy", load.energy),
            ("hours", load.hours),
            ("duty", load.duty),
        ):
            for label, given in by_label.items():
                yield f"{load.id}.{name}" + (f".{label}" if label else ""), given
        for name, given in (("surge", load.surge), ("standby", load.standby), ("length", load.length)):
            yield f"{load.id}.{name}", given
        yield from _named(load.id, load.figures)
    for nth, stay in enumerate(rig.use.stays, 1):
        yield f"use.stays.{nth}.coldest", stay.coldest
        yield f"use.stays.{nth}.hottest", stay.hottest
        yield from _named(f"use.stays.{nth}", stay.figures)
    yield from _asked_words("use.generator", rig.use.generator)
    yield from _asked_words("use.answers", rig.use.answers)
    for promise in rig.use.promises:
        yield from _named(f"use.promises.{promise.name}", promise.figures)
    for run in rig.runs.values():
        if not run.part_of:
            yield f"{run.id}.length", run.length
            yield from _asked_words(run.id, {"cable": run.cable.text})
    for name, mine in rig.settings.items():
        yield from ((f"settings.{name}.{k}", v) for k, v in mine.items() if not isinstance(v, str))
    for case in rig.cases.values():
        yield from _named(f"cases.{case.id}.loads", case.loads)


def _named(head: str, given: Mapping[str, Given]) -> Iterator[tuple[str, Given]]:
    yield from ((f"{head}.{name}", g) for name, g in given.items() if not isinstance(g, Absent))


def _asked_words(head: str, words: Mapping[str, str]) -> Iterator[tuple[str, Given]]:
    """Words that nobody knows yet."""
    for name, text in words.items():
        if text == "unknown" or text.startswith("unknown (asked "):
            address = f"{head}.{name}"
            yield address, Unknown(text.partition("asked ")[2].rstrip(")"), address)
