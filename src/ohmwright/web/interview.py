"""The interview sheet: loads, stays, promises, and what they come to in nights."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from ohmwright.energy.loop import MONTH_DAYS
from ohmwright.energy.types import Year
from ohmwright.rig.entries import add_entry, flow
from ohmwright.rig.model import Load, Rig, Stay
from ohmwright.services.appliances import search
from ohmwright.services.desk import Look, Put
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import Field
from ohmwright.web.forms import needed, word
from ohmwright.web.render import written
from ohmwright.working import NOWHERE, OhmwrightError

PRIORITIES = (
    ("", "not told"),
    ("always", "never fails"),
    ("first", "given up late"),
    ("normal", "normal"),
    ("can-go", "can go"),
)
MODES = ("occupied", "unattended", "laid-up", "anchor", "passage", "shore")
SEASONS = ("summer", "shoulder", "winter")
WIRED = (("", "not told"), ("dc", "runs of its own, DC"), ("ac", "runs of its own, AC"))
_ID = re.compile(r"[A-Za-z][A-Za-z0-9-]{0,40}")
_SPAN = re.compile(r"(\d\d)-(\d\d)\.\.(\d\d)-(\d\d)")
_DATE = re.compile(r"\d{4}-(\d\d-\d\d)")


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A load with its fields."""

    id: str
    fed: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """A stay as a line of the calendar, in days of the year; one that passes new year has two pieces."""

    name: str
    mode: str
    pieces: tuple[tuple[int, int], ...]


def interview(bench: Bench, request: Request) -> Response:
    """The sheet."""
    look = bench.desk.look(request.path_params["job"])
    find = request.query_params.get("find", "")[:80]
    year, trouble = _year(bench, look)
    starts = [sum(MONTH_DAYS[:m]) for m in range(12)]
    return bench.sheet(
        request,
        look,
        "interview",
        loads=[_load(load) for load in look.rig.use.loads.values()],
        find=find,
        found=search(find),
        ways=_ways(look.rig),
        priorities=PRIORITIES,
        modes=MODES,
        seasons=SEASONS,
        bars=[_bar(s) for s in look.rig.use.stays],
        starts=starts,
        year=year,
        kept={p.name: p for p in year.promises} if year else {},
        trouble=trouble,
        carries=[f for f in look.checked.findings if f.rule == "battery/autonomy" and f.value is not None],
        named=_named,
    )


def _year(bench: Bench, look: Look) -> tuple[Year | None, str]:
    if not look.rig.use.stays:
        return None, ""
    try:
        return bench.desk.year(look), ""
    except OhmwrightError as error:
        return None, str(error)


def _load(load: Load) -> LoadRow:
    fields = []
    for name, by in (
        ("power", load.power),
        ("energy", load.energy),
        ("hours", load.hours),
        ("duty", load.duty),
    ):
        fields.append(
            Field(
                f"use.loads.{load.id}.{name}",
                name,
                " / ".join(written(g) + (f" {label}" if label else "") for label, g in by.items()),
            )
        )
    fields.append(Field(f"use.loads.{load.id}.standby", "standby", written(load.standby)))
    fields.append(
        Field(f"use.loads.{load.id}.priority", "never fails, can go", load.priority, choices=PRIORITIES)
    )
    return LoadRow(
        load.id,
        ", ".join(load.fed.values()) or (f"own runs, {load.wired}" if load.wired else "nothing yet"),
        tuple(fields),
    )


def _ways(rig: Rig) -> tuple[tuple[str, str], ...]:
    """What a new load may hang on: a way of a panel, or runs of its own."""
    ways = tuple(
        (f"{p.id}.{n}", f"{p.id}.{n}, {written(g)}")
        for p in rig.parts.values()
        if p.kind.name.startswith("panel-")
        for n, g in p.ways.items()
    )
    return (*ways, *WIRED[1:])


def _named(stay: Stay) -> str:
    return stay.place or (f"{stay.start} to {stay.end}" if stay.start else "place not told")


def _bar(stay: Stay) -> Bar:
    first, last = (sum(MONTH_DAYS[: month - 1]) + day - 1 for month, day in (stay.first, stay.last))
    pieces = ((first, last + 1),) if first <= last else ((first, 365), (0, last + 1))
    return Bar(_named(stay), stay.mode, pieces)


def added(form: FormData) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    """The edit that a form of this sheet asks for: a new load, stay or promise."""
    makers = {"load": _new_load, "stay": _new_stay, "promise": _new_promise}
    kind = word(form, "kind")
    if kind not in makers:
        raise OhmwrightError("it was not said what to add", remedy="use the forms of the interview sheet")
    return makers[kind](form)


def _new_load(form: FormData) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    name = needed(form, "name", "the load's name")
    if not _ID.fullmatch(name):
        raise OhmwrightError(
            f"'{name[:50]}' is no name of a load",
            remedy="write letters, figures and hyphens, a letter first: deep-fridge",
        )
    hangs = word(form, "hangs")
    entry: dict[str, str | list[str]] = {
        "fed": hangs if "." in hangs else "",
        "wired": hangs if hangs in ("dc", "ac") else "",
        **{
            key: word(form, key)
            for key in ("power", "energy", "hours", "duty", "surge", "standby", "priority", "said", "note")
        },
    }

    def edited(text: str, file: str) -> str:
        from ohmwright.rig.edit import set_value
        from ohmwright.rig.splice import root_of

        use = root_of(text, file).get("use")
        loads = getattr(use, "entries", {}).get("loads")
        if loads is not None and name in getattr(loads.value, "entries", {}):
            raise OhmwrightError(f"there is a load {name} already", remedy="give the new one another name")
        return set_value(text, file, f"use.loads.{name}", flow(entry, NOWHERE))

    return edited, (Put(f"use.loads.{name}", "added"),)


def _new_stay(form: FormData) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    days = [_DATE.fullmatch(needed(form, k, f"the {k} day")) for k in ("first", "last")]
    if None in days:
        raise OhmwrightError("a day of the stay is no date", remedy="choose first and last day")
    entry: dict[str, str | list[str]] = {
        "span": "..".join(d[1] for d in days if d is not None),
        **{
            key: word(form, key)
            for key in ("place", "mode", "nights", "away", "shore", "coldest", "hottest", "shade")
        },
    }
    return (lambda text, file: add_entry(text, file, ("use", "stays"), entry)), (Put("use.stays", "added"),)


def _new_promise(form: FormData) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    entry: dict[str, str | list[str]] = {
        "name": needed(form, "name", "the promise's name"),
        "nights": word(form, "nights"),
        "season": word(form, "season"),
        "together": [w for w in re.split(r"[,\s]+", word(form, "together")) if w],
        "said": word(form, "said"),
        "by": word(form, "by"),
        "dated": word(form, "dated"),
    }
    return (lambda text, file: add_entry(text, file, ("use", "promises"), entry)), (
        Put("use.promises", "added"),
    )
