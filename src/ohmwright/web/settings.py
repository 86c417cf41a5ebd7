"""The settings sheet: every setting that a device of its kind has, its value, the delivered one, who may change it, when it was read back."""

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from ohmwright.kinds.settings import SettingSpec, settings_of_kind
from ohmwright.rig.model import Part, Rig
from ohmwright.web.bench import Bench
from ohmwright.web.circuit import margin_of
from ohmwright.web.render import written
from ohmwright.working import Figure, Given, tell

WHO = {"shop": "the shop", "owner": "the owner"}


@dataclass(frozen=True, slots=True)
class SettingRow:
    """A line of the sheet. `needed` says that a rule cannot tell without it."""

    address: str
    key: str
    meaning: str
    unit: str
    value: str
    words: tuple[str, ...]
    delivered: str
    who: str
    read_back: str
    needed: bool


@dataclass(frozen=True, slots=True)
class Device:
    """A device with its settings."""

    id: str
    title: str
    kind: str
    rows: tuple[SettingRow, ...]
    set_count: int


def settings(bench: Bench, request: Request) -> Response:
    """The sheet."""
    look = bench.desk.look(request.path_params["job"])
    missing = {m for f in look.checked.findings if f.verdict == "cannot-tell" for m in f.missing}
    devices = [
        d for p in look.rig.parts.values() if not p.group and (d := _device(look.rig, p, missing)).rows
    ]
    return bench.sheet(request, look, "settings", devices=devices, **margin_of(bench, look))


def _device(rig: Rig, part: Part, missing: set[str]) -> Device:
    specs = settings_of_kind(part.kind.name)
    mine = rig.settings.get(part.id, {})
    keys = (*specs, *(k for k in mine if k not in specs))
    rows = tuple(_row(part, key, specs.get(key), mine.get(key), missing) for key in keys)
    return Device(part.id, part.record.title or part.record.id, part.kind.title, rows, len(mine))


def _row(
    part: Part, key: str, spec: SettingSpec | None, given: Given | str | None, missing: set[str]
) -> SettingRow:
    address = f"settings.{part.id}.{key}"
    value = given if isinstance(given, str) else written(given) if given is not None else ""
    measured = isinstance(given, Figure) and given.origin.kind == "measured"
    return SettingRow(
        address,
        key,
        spec.meaning if spec else "a setting of its own",
        spec.unit if spec else "",
        value,
        spec.words if spec else (),
        _delivered(part, spec),
        WHO[spec.whose if spec else "shop"],
        given.origin.dated if measured and isinstance(given, Figure) else "",
        address in missing,
    )


def _delivered(part: Part, spec: SettingSpec | None) -> str:
    """What it comes with, where the shelf says so; the maker's page knows the rest."""
    if spec is None or not spec.plate:
        return ""
    figure = part.record.figures.get(spec.plate)
    if isinstance(figure, Figure):
        return tell(figure.value, figure.unit, 4)
    return part.record.words.get(spec.plate, "")
