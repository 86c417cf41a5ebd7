"""The settings sheet: every value of every device, the default beside it, who may change it, and room for what was read back."""

from collections.abc import Iterator, Mapping

from ohmwright.papers.doc import Block, Cell, Column, Doc, Heading, Points, Table, Text
from ohmwright.papers.material import Material
from ohmwright.rig.model import Part
from ohmwright.working import Absent, Figure, Given, NotThere, Unknown, tell

#: Settings that an owner may touch; all others are the shop's (common practice, no source).
OWNERS = ("supply-limit",)
_DEFAULTS = {"cut-off": "cutoff_voltage", "ground-relay": "ground_relay", "absorption": "absorption_max"}


def settings_sheet(m: Material) -> Doc:
    """A table for each device that has settings, and the devices for which none are written."""
    w = m.words
    blocks: list[Block] = [
        Text(w.say("settings.what-this-is")),
        m.cautions("no-charge-cold", "listed-profiles", "who-may-change"),
    ]
    for part, values in m.rig.settings.items():
        blocks += [
            Heading(f"{part} · {m.rig.parts[part].record.title}", 2),
            _table(m, m.rig.parts[part], values),
        ]
    lacking = [p.id for p in _settable(m) if p.id not in m.rig.settings]
    if lacking:
        blocks += [
            Heading(w.say("settings.none-written"), 2),
            Points(tuple(f"{i} · {m.rig.parts[i].record.title}" for i in lacking)),
        ]
    return m.doc("settings", blocks)


def _settable(m: Material) -> Iterator[Part]:
    kinds = (
        "inverter-charger",
        "inverter",
        "pv-controller",
        "pv-controller-pwm",
        "dcdc-charger",
        "shunt",
        "alternator-regulator",
        "bms-outside",
    )
    return (p for p in m.rig.parts.values() if p.kind.name in kinds)


def _table(m: Material, part: Part, values: Mapping[str, Given | str]) -> Table:
    w = m.words
    columns = tuple(
        Column(w.say(f"settings.{name}"), part=share)
        for name, share in (
            ("setting", 3),
            ("value", 3),
            ("delivered", 3),
            ("changed-by", 2),
            ("read-back", 2),
            ("by-and-date", 2),
        )
    )
    rows: list[tuple[Cell, ...]] = []
    for key, value in values.items():
        who = w.say("settings.owner") if key in OWNERS else w.say("settings.shop")
        rows.append((key, told(m, value), _delivered(m, part, key), who, "", ""))
    return Table(columns, tuple(rows), ruled=True)


def told(m: Material, value: Given | str) -> str:
    """A setting in words."""
    match value:
        case Figure() if value.unit == "1" and value.value <= 1.0:
            return f"{100.0 * value.value:.3g} %"
        case Figure():
            return tell(value.value, value.unit, 4)
        case NotThere():
            return m.words.say("settings.off")
        case Unknown() | Absent():
            return "?"
        case _:
            return str(value)


def _delivered(m: Material, part: Part, key: str) -> str:
    name = _DEFAULTS.get(key, key.replace("-", "_"))
    spec = part.kind.words.get(name)
    given = part.record.figures.get(name)
    if isinstance(given, Figure) and name != "absorption_max":
        return tell(given.value, given.unit, 4)
    if spec is not None and part.record.words.get(name):
        return part.record.words[name]
    return m.words.say("settings.makers")
