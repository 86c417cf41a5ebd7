"""The interview sheet: loads, stays, promises, and what they come to in nights."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from ohmwright.energy.loop import MONTH_DAYS
from ohmwright.rig.edit import set_value
from ohmwright.rig.entries import add_entry, flow
from ohmwright.rig.model import ABSENT, Load, Promise, Rig, Stay
from ohmwright.services.appliances import Appliance, search
from ohmwright.services.building import free_ways
from ohmwright.services.desk import Put
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import Field, margin_of
from ohmwright.web.edits import change_text
from ohmwright.web.forms import fields as fields_of
from ohmwright.web.forms import needed, word
from ohmwright.web.nights import about_nights, stay_name
from ohmwright.web.render import written
from ohmwright.working import NOWHERE, Given, OhmwrightError, known

PRIORITIES = (
    ("", "–"),
    ("always", "never fails"),
    ("first", "given up late"),
    ("normal", "normal"),
    ("can-go", "can go"),
)
MODES = ("occupied", "unattended", "laid-up", "anchor", "passage", "shore")
SEASONS = ("summer", "shoulder", "winter")
STAY_KEYS = (
    ("span", "first and last day: 04-20..10-20"),
    ("place", "town with state or country"),
    ("mode", "occupied, unattended, laid-up, anchor, passage, shore"),
    ("nights", "nights lived on board"),
    ("away", "nights in a row without outside power"),
    ("shore", "outside power there: none, or 16 A 230 V"),
    ("coldest", "coldest night: -5 degC (o)"),
    ("hottest", "hottest day"),
    ("driving", "engine hours a day: 1 h"),
    ("idling", "engine hours a day at idle, standing still: 0.5 h"),
    ("under-way", "hours a day under way: 20 h"),
    ("speed", "through the water while under way: 5 kn"),
    ("wind", "mean wind at the height of the wind generator: 12 kn"),
    ("shade", "forest, desert, harbour"),
    ("season", "whose habits hold: summer, shoulder, winter"),
)
#: What of a stay says how engine, water and wind charge.
MOVED_BY = ("driving", "idling", "under-way", "speed", "wind")
PROMISE_KEYS = ("nights", "nights-lost", "plug-in-days", "season", "together", "said", "by", "dated")
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
    hangs: Field | None
    seasons: tuple[tuple[str, tuple[str, ...]], ...]
    """Hours and duty with one figure for each season; the same in all where the file has one."""
    day_Wh: tuple[float | None, ...]
    """What it takes a day, by season; None where it cannot be told."""
    said: str


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
    starts = [sum(MONTH_DAYS[:m]) for m in range(12)]
    return bench.sheet(
        request,
        look,
        "interview",
        loads=[_load(look.rig, load) for load in look.rig.use.loads.values()],
        find=find,
        found=search(find),
        taken=_taken(request, find),
        called=_called(look.rig, find),
        stay_fields=[_stay_fields(n, s, look.rig) for n, s in enumerate(look.rig.use.stays, 1)],
        moved_by=_moved_by(look.rig),
        promise_fields=[_promise_fields(n, p) for n, p in enumerate(look.rig.use.promises, 1)],
        answers=look.rig.use.answers,
        ways=_ways(look.rig),
        priorities=PRIORITIES,
        modes=MODES,
        seasons=SEASONS,
        bars=[_bar(s) for s in look.rig.use.stays],
        starts=starts,
        **about_nights(bench, look),
        **margin_of(bench, look),
    )


def _called(rig: Rig, find: str) -> str:
    """A name for the load that was looked up: the word it was found by, if nothing is called so yet."""
    word = find.strip().lower()
    return word if _ID.fullmatch(word) and word not in rig.use.loads and word not in rig.parts else ""


def _taken(request: Request, find: str) -> Appliance:
    """The line of the appliance table that fills in the form: `?find=fridge&take=2`."""
    found, nth = search(find), request.query_params.get("take", "")
    return found[int(nth) - 1] if nth.isdecimal() and 1 <= int(nth) <= len(found) else Appliance("", "")


def _load(rig: Rig, load: Load) -> LoadRow:
    at = f"use.loads.{load.id}"
    fields = [
        Field(
            f"{at}.{name}",
            name,
            " / ".join(written(g) + (f" {label}" if label else "") for label, g in by.items()),
        )
        for name, by in (
            ("power", load.power),
            ("energy", load.energy),
            ("hours", load.hours),
            ("duty", load.duty),
        )
    ]
    fields.append(Field(f"{at}.standby", "standby", written(load.standby)))
    fields.append(Field(f"{at}.priority", "never fails, can go", load.priority, choices=PRIORITIES))
    fed = next(iter(load.fed.values()), "")
    hangs = Field(
        f"{at}.fed", "hangs on", fed, choices=(("", "–"), *((w, w) for w, _ in free_ways(rig, fed)))
    )
    return LoadRow(
        load.id,
        ", ".join(load.fed.values()) or (f"own runs, {load.wired}" if load.wired else "nothing yet"),
        tuple(fields),
        hangs if not load.wired and len(load.fed) < 2 else None,
        tuple((name, _by_season(by)) for name, by in (("hours", load.hours), ("duty", load.duty))),
        tuple(_day_Wh(load, season) for season in SEASONS),
        load.words.get("said", ""),
    )


def _by_season(by: Mapping[str, Given]) -> tuple[str, ...]:
    """One figure for each season, as the file writes it."""
    return tuple(written(by[s]) if s in by else written(by[""]) if "" in by else "" for s in SEASONS)


def _day_Wh(load: Load, season: str) -> float | None:
    """Energy of a day: as told, else power by hours by duty."""

    def figure(by: Mapping[str, Given]) -> float | None:
        found = known(by[season]) if season in by else known(by[""]) if "" in by else None
        return found.value if found is not None else None

    if (energy := figure(load.energy)) is not None:
        return energy
    power, seconds = figure(load.power), figure(load.hours)
    if power is None or seconds is None:
        return None
    duty = figure(load.duty)
    return power * seconds / 3600.0 * (1.0 if duty is None else duty)


def _moved_by(rig: Rig) -> tuple[str, ...]:
    """The keys of a stay that this rig has something for: engine hours, way and speed of a boat, wind of a wind generator."""
    turbines = {"wind": ("wind-generator",), "speed": ("hydrogenerator",), "under-way": ("hydrogenerator",)}
    return tuple(k for k in MOVED_BY if k not in turbines or rig.of_kind(*turbines[k]))


def _stay_fields(nth: int, stay: Stay, rig: Rig) -> tuple[Field, ...]:
    """What can be changed in a stay."""
    at = f"use.stays.{nth}"
    span = "{:02d}-{:02d}..{:02d}-{:02d}".format(*stay.first, *stay.last)
    told = {
        "span": span,
        "place": stay.place,
        "mode": stay.mode,
        "nights": "" if stay.nights is None else str(stay.nights),
        "coldest": written(stay.coldest),
        "hottest": written(stay.hottest),
        "shore": stay.shore,
        **{key: written(stay.figures.get(key, ABSENT)) for key in ("away", *MOVED_BY)},
        **{k: v for k, v in stay.words.items() if k in ("shade", "season")},
    }
    idle = {k for k in MOVED_BY if k not in _moved_by(rig) and not told[k]}
    return tuple(
        Field(f"{at}.{key}", key, told.get(key, ""), hint) for key, hint in STAY_KEYS if key not in idle
    )


def _promise_fields(nth: int, promise: Promise) -> tuple[Field, ...]:
    """What can be changed in a promise."""
    at = f"use.promises.{nth}"
    out = [Field(f"{at}.name", "name", promise.name)]
    for key in PROMISE_KEYS:
        given = promise.figures.get(key.replace("-", "_"), promise.figures.get(key))
        value = written(given) if given is not None else promise.words.get(key, "")
        out.append(Field(f"{at}.{key}", key.replace("-", " "), value))
    return tuple(out)


async def seasons(bench: Bench, request: Request) -> Response:
    """Hours and duty by season, written as one line of the file."""
    form = await fields_of(bench, request)
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    puts = []
    for load in look.rig.use.loads.values():
        for name, by in (("hours", load.hours), ("duty", load.duty)):
            told = [word(form, f"season.{load.id}.{name}.{s}") for s in SEASONS]
            if f"season.{load.id}.{name}.summer" in form and tuple(told) != _by_season(by):
                puts.append(Put(f"use.loads.{load.id}.{name}", _in_one_line(f"{load.id}, {name}", told)))

    def edited(text: str, file: str) -> str:
        for p in puts:
            text = set_value(text, file, p.address, p.value)
        return text

    return await change_text(bench, request, form, edited, tuple(puts))


def _in_one_line(what: str, told: list[str]) -> str:
    if not all(told):
        raise OhmwrightError(f"{what} has no figure for every season", remedy="fill in all three, or none")
    if len(set(told)) == 1:
        return told[0]
    return " / ".join(f"{value} {season}" for value, season in zip(told, SEASONS, strict=True))


def _ways(rig: Rig) -> tuple[tuple[str, str], ...]:
    """What a new load may hang on: a free way of a panel, or runs of its own."""
    return (*free_ways(rig), *WIRED[1:])


def _bar(stay: Stay) -> Bar:
    first, last = (sum(MONTH_DAYS[: month - 1]) + day - 1 for month, day in (stay.first, stay.last))
    pieces = ((first, last + 1),) if first <= last else ((first, 365), (0, last + 1))
    return Bar(stay_name(stay), stay.mode, pieces)


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
            for key in (
                "power",
                "energy",
                "hours",
                "duty",
                "surge",
                "standby",
                "cable",
                "length",
                "at",
                "priority",
                "heat",
                "warms",
                "burns",
                "said",
                "note",
            )
        },
    }

    def edited(text: str, file: str) -> str:
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
            for key in ("place", "mode", "nights", "away", "shore", "coldest", "hottest", *MOVED_BY, "shade")
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
