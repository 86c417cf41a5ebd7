"""The places sheet: bays and what sits in them, to one scale; the ways between them."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from ohmwright.checks.heat import bays as airs
from ohmwright.rig.bay_fit import worsened
from ohmwright.rig.edit import set_value
from ohmwright.rig.entries import flow, remove_entry
from ohmwright.rig.model import ABSENT, Place, Rig, Way
from ohmwright.rig.placing import address_of, words_for
from ohmwright.rig.placing import stand as in_file
from ohmwright.rig.splice import as_scalar
from ohmwright.services.desk import ConflictError, Look, Put
from ohmwright.services.new import REGIMES
from ohmwright.web.bay import bay_of
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import Field, margin_of, marks_of
from ohmwright.web.forms import fields, needed, word
from ohmwright.web.render import path, written
from ohmwright.working import NOWHERE, OhmwrightError

PLACE_WORDS = (
    ("size", "width x depth x height: 0.9 x 0.5 x 0.6 m"),
    ("opening", "clear opening, width x height: 0.45 x 0.5 m"),
    ("opening-at", "its lower left corner seen from in front, from the place's own: 0.2 0.05 m"),
    ("board", "board that parts are screwed to, width x height: 0.8 x 0.5 m"),
    ("board-at", "its lower left corner, in the same way: 0.05 0.05 m"),
    (
        "vent-low",
        "middle of the lower of two equal vents, in the same way: 0.1 0.06 m; none where there is one vent only",
    ),
    ("vent-high", "middle of the upper one: 0.8 0.54 m; none where there is one vent only"),
    ("vapour", "none, petrol, lp-gas, hydrogen, unknown"),
    ("inside", "the place it is inside of"),
    ("note", "a remark"),
)
PLACE_FIGURES = (
    (
        "vents",
        "free area of two equal vents together: 240 cm2; or each by its name: {louvre: {area: 120 cm2, at: 0.1 0.08 m}, mushroom: {area: 60 cm2, at: 0.8 0.55 m}}",
    ),
    ("coldest", "coldest it gets: -5 degC"),
    ("hottest", "hottest it gets: 45 degC"),
    ("kept-above", "heated to stay above"),
    ("UA", "heat conductance of its walls: 4 W/K"),
    ("volume", "air in it: 300 L"),
)
WAY_FLAGS = {
    "rooftop": "on the roof, in the sun",
    "underbody": "under the floor",
    "engine": "through the engine space",
    "buried": "in the soil",
    "conduit": "in a conduit",
}
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9-]{0,40}")


@dataclass(frozen=True, slots=True)
class WayRow:
    """A cable way and the runs that lie in it."""

    id: str
    length: str
    marks: str
    runs: tuple[str, ...]
    fields: tuple[Field, ...]


def places(bench: Bench, request: Request) -> Response:
    """The sheet."""
    return _sheet(bench, bench.desk.look(request.path_params["job"]), request)


def _sheet(
    bench: Bench, look: Look, request: Request, status: int = 200, error: OhmwrightError | None = None
) -> Response:
    return bench.sheet(request, look, "places", status, **_about(bench, look), error=error)


def _about(bench: Bench, look: Look) -> dict[str, Any]:
    """What the sheet is drawn from."""
    rig = look.rig
    marks = marks_of(look, bench.drawn(look) or bench.circuits(look))
    warm = airs(look.study)
    bays = [bay_of(rig, p, marks, warm[p.id], _fields(p)) for p in rig.host.places.values()]
    return {
        "bays": bays,
        "ways": [_way(rig, w) for w in rig.host.ways],
        "loose": [p.id for p in rig.parts.values() if not p.place and not p.group],
        "written": written,
        "regimes": REGIMES,
        "flags": WAY_FLAGS,
        **margin_of(bench, look),
    }


def _fields(place: Place) -> Iterator[Field]:
    """What the file may say of a place."""
    at = f"host.places.{place.id}"
    size = " x ".join(f"{v:g}" for v in place.size) + " m" if place.size else ""
    spots = {"opening-at": place.opening_at, "vent-low": place.vent_low, "vent-high": place.vent_high, "board-at": place.board_at}  # fmt: skip
    told = {key: f"{at[0]:g} {at[1]:g} m" for key, at in spots.items() if at is not None}
    told |= {key: written(place.figures[key]) for key in spots if key in place.figures}
    if place.board is not None:
        told["board"] = " x ".join(f"{v:g}" for v in place.board) + " m"
    words = {"size": size, "regime": place.regime, **told, **place.words}
    yield Field(f"{at}.regime", "heat and wet", place.regime, choices=tuple((r, r) for r in REGIMES))
    for key, hint in PLACE_WORDS:
        yield Field(f"{at}.{key}", key, words.get(key, ""), hint)
    for key, hint in PLACE_FIGURES:
        given = place.figures.get(key.replace("-", "_"), place.figures.get(key, ABSENT))
        value = _vents(place) if key == "vents" and place.vents else written(given)
        yield Field(f"{at}.{key}", key.replace("-", " "), value, hint)


def _vents(place: Place) -> str:
    """Vents that the file has one by one, in one line."""
    said = []
    for v in place.vents.values():
        keys = [f"area: {written(v.area)}"]
        keys += [f"at: {v.at[0]:g} {v.at[1]:g} m"] if v.at is not None else []
        keys += [f"size: {v.size[0]:g} x {v.size[1]:g} m"] if v.size is not None else []
        keys += [f"note: {as_scalar(v.note, NOWHERE)}"] if v.note else []
        said.append(f"{v.id}: {{{', '.join(keys)}}}")
    return f"{{{', '.join(said)}}}"


class DoesNotFitError(OhmwrightError):
    """Parts would stand over the edge of their bay, or in each other."""

    def __init__(self, worse: tuple[str, ...], asked: tuple[tuple[str, str], ...]) -> None:
        self.worse, self.asked = worse, asked
        super().__init__("; ".join(worse), remedy="stand it elsewhere, or put it there all the same")


async def stand(bench: Bench, request: Request) -> Response:
    """Stand parts: fields come as `stand.PART` with `was.PART` beside them; only what is otherwise is put."""
    form = await fields(bench, request)
    asked = [
        (name[6:], value)
        for name in form
        if name.startswith("stand.")
        and ((value := " ".join(word(form, name).split())) != word(form, was := f"was.{name[6:]}") or was not in form)
    ]  # fmt: skip
    if word(form, "room"):
        asked = [(name[5:], word(form, name)) for name in form if name.startswith("room.")]
    look = await run_in_threadpool(bench.desk.look, request.path_params["job"])
    back = word(form, "back")
    try:
        told = [(n, *words_for(look.rig, n, w)) for n, w in asked]
        puts = tuple(Put(address_of(look.rig, name, key), value) for name, key, value in told)
        edited = _stood(look, asked, anyway=bool(word(form, "anyway")))
        change = await run_in_threadpool(bench.desk.edit, look.job, word(form, "opened"), edited, puts)
    except ConflictError:
        raise
    except DoesNotFitError as error:
        return _does_not_fit(bench, request, look, error, back)
    except OhmwrightError as error:
        if request.headers.get("hx-request"):
            return _does_not_fit(bench, request, look, error, back)
        return await run_in_threadpool(_sheet, bench, look, request, 422, error)
    if not request.headers.get("hx-request"):
        return RedirectResponse(path("jobs", look.job, "places") + (f"#place-{back}" if back else ""), 303)
    return await run_in_threadpool(_answered, bench, request, change.after)


def _stood(look: Look, asked: list[tuple[str, str]], *, anyway: bool) -> Callable[[str, str], str]:
    """An edit that stands parts, and is refused where one stands worse than before."""

    def edited(text: str, file: str) -> str:
        from ohmwright.rig.read import read_rig

        rig = look.rig
        for name, words in asked:
            text = in_file(text, file, rig, name, words)
            rig = read_rig(text, file, look.opened.shelf)
        if not anyway and (worse := worsened(look.rig, rig, [n for n, _ in asked])):
            raise DoesNotFitError(worse, tuple(asked))
        return text

    return edited


def _answered(bench: Bench, request: Request, look: Look) -> Response:
    text = bench.text(
        request, "pieces/places.html", **bench.around(look, "places"), **_about(bench, look), error=None
    )
    return HTMLResponse(text)


def _does_not_fit(bench: Bench, request: Request, look: Look, error: OhmwrightError, back: str) -> Response:
    values = {"error": error, "look": look, "back": back, "asked": getattr(error, "asked", ())}
    if request.headers.get("hx-request"):
        text = bench.text(request, "pieces/places-refused.html", **values)
        return HTMLResponse(text, 200, {"hx-retarget": "#said", "hx-reswap": "outerHTML"})
    return bench.page(request, "places-refused.html", 422, **{**bench.around(look, "places"), **values})


async def put(bench: Bench, request: Request) -> Response:
    """A new place, a new way, or one taken out."""
    form = await fields(bench, request)
    job = request.path_params["job"]
    look = await run_in_threadpool(bench.desk.look, job)
    try:
        edited, puts = _asked(form, look.rig)
        await run_in_threadpool(bench.desk.edit, job, word(form, "opened"), edited, puts)
    except ConflictError:
        raise
    except OhmwrightError as error:
        look = await run_in_threadpool(bench.desk.look, job)
        return await run_in_threadpool(_sheet, bench, look, request, 422, error)
    return RedirectResponse(path("jobs", job, "places") + f"#{word(form, 'back')}", 303)


def _asked(form: FormData, rig: Rig) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    how = word(form, "how")
    if how == "place":
        return _new_place(form, rig)
    if how == "way":
        return _new_way(form, rig)
    where, name = ("ways" if how == "take-way" else "places"), word(form, "name")
    if where == "places" and (sits := [p.id for p in rig.parts.values() if p.place == name and not p.group]):
        raise OhmwrightError(f"{', '.join(sits[:6])} sits in {name}", remedy="move what sits there first")
    return (
        lambda text, file: remove_entry(text, file, ("host", where, name)),
        (Put(f"host.{where}.{name}", "taken out"),),
    )


def _new_place(form: FormData, rig: Rig) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    name = needed(form, "name", "the name of the place")
    if not _NAME.fullmatch(name):
        raise OhmwrightError(
            f"'{name[:40]}' is no name of a place", remedy="write letters, figures and hyphens: rear-locker"
        )
    if name in rig.host.places:
        raise OhmwrightError(f"there is a place {name} already", remedy="give the new one another name")
    entry = flow({k: word(form, k) for k in ("regime", "size", "opening", "hottest", "coldest")}, NOWHERE)
    return (
        lambda text, file: set_value(text, file, f"host.places.{name}", entry),
        (Put(f"host.places.{name}", entry),),
    )


def _new_way(form: FormData, rig: Rig) -> tuple[Callable[[str, str], str], tuple[Put, ...]]:
    a, b = word(form, "from"), word(form, "to")
    if a == b or not {a, b} <= set(rig.host.places):
        raise OhmwrightError("a way leads from one place to another", remedy="choose two places")
    name = f"{a} - {b}"
    if name in rig.host.ways or f"{b} - {a}" in rig.host.ways:
        raise OhmwrightError(f"there is a way {name} already", remedy="change its length below")
    passes = {k: "true" for k in WAY_FLAGS if word(form, k)}
    entry = flow(
        {"length": needed(form, "length", "the length of the way"), "glands": word(form, "glands")}, NOWHERE
    )
    entry = entry[:-1] + "".join(f", {k}: {v}" for k, v in passes.items()) + "}"
    return (
        lambda text, file: set_value(text, file, f"host.ways.{name}", entry),
        (Put(f"host.ways.{name}", entry),),
    )


def _way(rig: Rig, name: str) -> WayRow:
    way = rig.host.ways[name]
    marks = [f"{way.glands} gland{'s' if way.glands > 1 else ''}"] if way.glands else []
    marks += [k if v in ("true", "yes") else f"{k} {v}" for k, v in way.words.items() if k != "note"]
    return WayRow(
        name,
        written(way.length),
        ", ".join(marks),
        tuple(r.id for r in rig.runs.values() if name in r.route and not r.part_of),
        tuple(_way_fields(name, way)),
    )


def _way_fields(name: str, way: Way) -> Iterator[Field]:
    """What the file may say of a way beyond its length."""
    at = f"host.ways.{name}"
    yield Field(f"{at}.glands", "glands it passes", str(way.glands) if way.glands else "")
    yield Field(f"{at}.bulkhead", "bulkheads it passes", way.words.get("bulkhead", ""))
    for key, label in WAY_FLAGS.items():
        value = "yes" if way.words.get(key) == "yes" else ""
        yield Field(f"{at}.{key}", label, value, choices=(("", "no"), ("yes", "yes")))
    yield Field(f"{at}.hottest", "hottest it gets", way.words.get("hottest", ""), "60 degC")
    yield Field(f"{at}.note", "a remark", way.words.get("note", ""))
