"""The reference page of the rig file, made from its shape: every key, what it means and how it is written."""

from ohmwright.rig import shape
from ohmwright.rig.forms import (
    Amount,
    Count,
    Day,
    Each,
    Either,
    Flag,
    Form,
    Keys,
    Labelled,
    Lengths,
    Many,
    Named,
    Text,
    Word,
)
from ohmwright.rig.standing_shape import Stands

_HEAD = """# The rig file

A rig is one text file: YAML 1.2, read as text only. Duplicate keys, tags, anchors, aliases and merge keys are refused.
This page is made from the same description that the reader and `ohmwright schema` use.

**Quantities** are `VALUE UNIT [+-TOL] [@ CONDITION] [for SECONDS s] [(ORIGIN)]`: `37.1 V (d1 p2)`, `200 A for 10 s`, `2.5 mohm +-20 % (m 2026-05-02)`.
The tag in brackets names an entry of `sources:`; `m DATE` is measured, `s` shop practice, `o` said by the owner.
`unknown (asked 2026-04-02)` stays on the list of open questions, `none` says that the thing does not exist, a key left out was never asked.
Seasons and modes stand behind a slash: `0.49 summer / 0.35 shoulder`.

**Addresses.** One namespace for parts, loads, runs, places and metal bodies. A dot descends: `B.2` the second member of a group, `M.1.3` module 3 of
string 1, `B.2.F` the device on that battery's post, `U1.pv` a port, `U1.pv.+` a terminal. Poles are the last word: `+ - L L1 L2 N PE A B sig`.

**Runs.** Between two ports a run has one core a pole (both ports have the same poles); between two terminals it is one conductor. An end may be a map,
`{port: Q3.line, PE: XE.1}` or `{L: U2.ac-in.L1, N: U2.ac-in.N, PE: U2.ac-in.PE}`; `cores: L N` takes part of both. `length` is the cable's, never there and
back; left out, it is the sum of the ways it lies in. `length: none` says that makers' leads plug together.

**Cables.** `4/0 AWG 105C red`, `pv 10 AWG`, `2 x 10 mm2 tinned`, `10 SAE`, `35 mm2 CCA black`, `16 mm2 green-yellow`, `maker's lead`, `unknown (asked DATE)`.
A gauge without its system is refused: an SAE gauge holds 5 to 12 % less metal than the AWG of its number.

**Groups.** `{is: ..., count: 4, each: {F: ...}, join: {as: chain, link: CABLE, link-length: 0.32 m, takeoff: diagonal}}` has the take-offs `B.+` and `B.-`;
`join: {as: busbars, plus: XB.1, minus: XC.1, lead: CABLE, lead-length: 0.45 m}` lands on consecutive studs of two bars and has no take-off of its own;
`join: {as: series, link: CABLE}` puts members one behind the other. Links and leads have ids of their own (`B.link1`, `B.lead2`). `ungroup` writes it all out.
Arrays are `array: 3s1p`; a port is `M` with one string, `M.1`, `M.2` with more. `but: {2: {resistance: 3.1 mohm}}` lets one member differ.

**Surfaces.** A place that carries modules may have an `outline`, its middle at `at`; lengths on it count from its first corner: along x and y when it lies
flat, to the right and up the slope as seen from in front when it leans. `laid: {1.1: 0.3 0.2 m, 1.2: 2.1 0.2 m turned}` puts modules on it. `obstacles` stand on
it or beside it (negative lengths are beside), with a height when closed and when `open`. `horizon` and `trees` go by bearing from true north; those of a place
are always there, those of a stay only there.

**Standing.** `stands: 0.12 0.04 m` says where a part has its lower left corner in its place, seen from in front, from the place's own: on the back wall, or with a third
length so far out from it. `floor` stands it on the floor, `left` and `right` screw it to a side wall. `turned` is a quarter turn as seen from in front, `sideways` one
about the upright. `on-board: 0.1 0.05 m` counts from the corner of the place's `board` instead; with `board-at` both say the same of bay, mounting plan and drill template.
Members of a group: `stands: {1: 0 0 m floor, 2: 0.53 0 m floor, 1.F: 0.1 0.3 m}`. What is not told is put where there is room, and said to be proposed.

**Vents.** `vents: 240 cm2` are two equal ones of half that area each, where `vent-low` and `vent-high` say; `vent-high: none` leaves one vent of the whole area. Unlike
vents, or one, or more: `vents: {louvre: {area: 120 cm2, at: 0.1 0.08 m}, mushroom: {area: 60 cm2, at: 0.8 0.55 m}}`.

**States.** `set: {Q5: 0, U2.hand: off, C1.to: out, engine-running: running}` is the only way to give states. A cord (`plugs: both`) has the states `in` and `out` at each plugged end.
"""


def reference() -> str:
    """The page as Markdown."""
    out = [_HEAD]
    for name, form in shape.SECTIONS.items():
        out.append(f"## `{name}`\n")
        out += _section(form, name)
    out += [
        "## A part\n",
        "Beside these keys, every figure and word of its kind (`ohmwright shelf show KIND`), written with hyphens, goes over the shelf's.\n",
        *_table(shape.PART),
        "### `join`\n",
        *_table(shape.JOIN.fields),
        "## Masses of the host\n",
        "| key | unit |\n|---|---|",
        *(f"| `{key}` | {' or '.join(units)} |" for key, units in shape.MASSES.items()),
        "\n## Settings with a unit\n",
        "Other settings are free: a quantity or a few words.\n",
        "| key | unit |\n|---|---|",
        *(f"| `{key}` | {unit} |" for key, unit in shape.SETTINGS.items()),
    ]
    return "\n".join(out) + "\n"


def _section(form: Form, path: str) -> list[str]:
    """A table of a form's keys, then of the maps inside it."""
    if isinstance(form, Each | Many):
        intro = [f"{form.meaning[:1].upper()}{form.meaning[1:]}.\n"] if form.meaning else []
        inner = _section(form.of, f"{path}.*") if isinstance(form.of, Keys | Each | Many) else []
        return [*intro, *inner]
    if not isinstance(form, Keys):
        return [f"{form.meaning[:1].upper()}{form.meaning[1:]}: {_written(form)}.\n"]
    out = _table(form.fields)
    for key, below in form.fields.items():
        whole = below.map if isinstance(below, Either) else below
        one: Form = whole.of if isinstance(whole, Each | Many) else whole
        if isinstance(one, Keys):
            out.append(f"### `{path}.{key}`\n")
            out += _section(one, f"{path}.{key}")
    return out


def _table(fields: dict[str, Form]) -> list[str]:
    rows = [f"| `{key}` | {f.meaning} | {_written(f)} |".replace("||", "| |") for key, f in fields.items()]
    return ["| key | what it is | how it is written |\n|---|---|---|", *rows, ""]


def _written(form: Form) -> str:
    """How a value of that form is written."""
    match form:
        case Amount() | Labelled():
            unit = " or ".join("a plain number or %" if u == "1" else u for u in form.units)
            return unit + (", by season or mode" if isinstance(form, Labelled) else "")
        case Word():
            return ", ".join(f"`{w}`" for w in form.allowed)
        case Flag():
            return "`yes` or `no`"
        case Count():
            return "a whole number"
        case Lengths():
            return f"{form.count} numbers and one unit"
        case Day():
            return "year-month-day"
        case Named():
            return form.what
        case Text():
            return form.example
        case Many():
            return "a list" + (", or one" if form.alone else "")
        case Each() | Keys():
            return "a map"
        case Either():
            return f"{_written(form.one)}, or a map"
        case Stands():
            return form.example
        case _:
            return "see above"


if __name__ == "__main__":
    print(reference(), end="")  # noqa: T201
