"""A sheet as DXF: millimetres, one to one, the drawing's layers as layers; the same bytes for the same sheet and stamp."""

import io
import re
from typing import Any, get_args

from ohmwright.drawing.shapes import (
    DASHES,
    INK_HEX,
    Arc,
    Circle,
    Colour,
    Layer,
    Line,
    Polyline,
    Shape,
    Sheet,
    Text,
)
from ohmwright.papers.stamp import Stamp

_FACES = {"sans": "SourceSans3-Regular.ttf", "sans-semibold": "SourceSans3-Semibold.ttf", "sans-bold": "SourceSans3-Bold.ttf",
          "serif": "SourceSerif4-Regular.ttf", "serif-semibold": "SourceSerif4-Semibold.ttf"}  # fmt: skip
_SPACES = "\u00a0\u202f"
_ACROSS = {"start": 0, "middle": 1, "end": 2}
"""How lettering stands to its point: left, centre, right."""
_CAPITAL = 0.66
"""Height of a capital over the size of the face."""
_WEIGHTS = (
    0,
    5,
    9,
    13,
    15,
    18,
    20,
    25,
    30,
    35,
    40,
    50,
    53,
    60,
    70,
    80,
    90,
    100,
    106,
    120,
    140,
    158,
    200,
    211,
)


_SEED = re.compile(r"(\$HANDSEED\r?\n *5\r?\n)([0-9A-F]+)")
_TIMES = re.compile(r"(\$TD(?:CREATE|UCREATE|UPDATE|UUPDATE)\r?\n *40\r?\n)[^\r\n]+")
_IDS = re.compile(r"(\$(?:VERSIONGUID|FINGERPRINTGUID)\r?\n *2\r?\n)[^\r\n]+")


def dxf_of(sheet: Sheet, stamp: Stamp) -> bytes:
    """The sheet as a DXF file (R2010). Its times and ids are the stamp's."""
    from ezdxf import units
    from ezdxf._options import options
    from ezdxf.filemanagement import new

    was = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document: Any = new("R2010", setup=False, units=units.MM)
        for name, pattern in DASHES.items():
            if pattern:
                signed = [d if i % 2 == 0 else -d for i, d in enumerate(pattern)]
                document.linetypes.add(_style(name), [sum(pattern), *signed])
        for face, file in _FACES.items():
            document.styles.add(_style(face), font=file)
        for layer in get_args(Layer):
            document.layers.add(_style(layer))
        space = document.modelspace()
        for group in sheet.groups:
            for shape in group.shapes:
                _draw(space, shape, sheet.height)
        owner = space.layout_key
        for name in sorted(document.entitydb.dxf_types_in_use()):  # else their order is that of a set
            document.classes.add_class(name)
        out = io.StringIO()
        document.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = was
    whole = _with_plain(out.getvalue(), sheet, owner)
    return _stamped(whole, stamp, sheet.name).encode("utf-8")


def _with_plain(text: str, sheet: Sheet, owner: str) -> str:
    """The document with the sheet's lines and lettering written in: they are most of it, and plain enough to be written at once."""
    seed = _SEED.search(text)
    begins = text.index("ENTITIES\n")
    ends = text.index("  0\nENDSEC\n", begins)
    assert seed
    first = int(seed[2], 16)
    plain = [told for g in sheet.groups for s in g.shapes if (told := _plain(s, sheet.height))]
    tags = [f"  0\n{kind}\n  5\n{first + n:X}\n330\n{owner}\n{rest}" for n, (kind, rest) in enumerate(plain)]
    whole = f"{text[:ends]}{''.join(tags)}{text[ends:]}"
    return _SEED.sub(lambda m: f"{m[1]}{first + len(plain):X}", whole, count=1)


def _plain(shape: Shape, height: float) -> tuple[str, str] | None:
    """A line, a polyline's edge or lettering as tags, without its handle; None for what the library draws."""
    match shape:
        case Line(x1, y1, x2, y2, weight, dash, colour, layer):
            ends = _tags((10, x1), (20, height - y1), (30, 0.0), (11, x2), (21, height - y2), (31, 0.0))
            return "LINE", f"{_entity(weight, dash, colour, layer)}100\nAcDbLine\n{ends}"
        case Polyline(points, weight, dash, colour, layer, closed) if weight:
            corners = "".join(_tags((10, x), (20, height - y)) for x, y in points)
            head = _tags((90, len(points)), (70, int(closed)), (43, 0.0))
            return "LWPOLYLINE", f"{_entity(weight, dash, colour, layer)}100\nAcDbPolyline\n{head}{corners}"
        case Text(x, y, text, em, face, anchor, colour, layer):
            told = "".join(c if c.isprintable() or c in _SPACES else " " for c in text).replace("%%", "%%%%")
            at = _tags(
                (10, x), (20, height - y), (30, 0.0), (40, em * _CAPITAL), (1, told), (7, _style(face))
            )
            if anchor != "start":
                at += _tags((72, _ACROSS[anchor]), (11, x), (21, height - y), (31, 0.0))
            return "TEXT", f"{_entity(0.0, '', colour, layer)}100\nAcDbText\n{at}100\nAcDbText\n"
        case _:
            return None


def _entity(weight: float, dash: str, colour: Colour, layer: Layer) -> str:
    looks = _looks(weight, dash, colour, layer)
    codes = ((8, "layer"), (6, "linetype"), (370, "lineweight"), (420, "true_color"))
    return "100\nAcDbEntity\n" + _tags(*((code, looks[name]) for code, name in codes if name in looks))


def _tags(*pairs: tuple[int, float | int | str]) -> str:
    return "".join(f"{code:>3}\n{round(v, 9) + 0.0 if isinstance(v, float) else v}\n" for code, v in pairs)


def _stamped(text: str, stamp: Stamp, name: str) -> str:
    one = stamp.id(name).upper()
    guid = f"{{{one[:8]}-{one[8:12]}-{one[12:16]}-{one[16:20]}-{one[20:]}}}"
    julian = stamp.seconds / 86400 + 2440587.5
    text = _TIMES.sub(lambda m: f"{m[1]}{julian:.6f}", text)
    return _IDS.sub(lambda m: f"{m[1]}{guid}", text)


def _style(name: str) -> str:
    return f"OW-{name}".upper()


def _looks(weight: float, dash: str, colour: Colour, layer: Layer) -> dict[str, Any]:
    red, green, blue = (int(INK_HEX[colour][i : i + 2], 16) for i in (1, 3, 5))
    looks: dict[str, Any] = {"layer": _style(layer), "true_color": red << 16 | green << 8 | blue}
    if weight:
        looks["lineweight"] = min(_WEIGHTS, key=lambda w: abs(w - weight * 100))
    if dash:
        looks["linetype"] = _style(dash)
    return looks


def _draw(space: Any, shape: Shape, height: float) -> None:
    """What is filled or round; DXF counts upwards, a sheet down."""
    match shape:
        case Polyline(points, _, _, _, layer, _, fill) if fill:
            hatch = space.add_hatch(dxfattribs=_looks(0.0, "", fill, layer))
            hatch.paths.add_polyline_path([(x, height - y) for x, y in points], is_closed=True)
        case Circle(cx, cy, r, weight, colour, layer, fill):
            if fill:
                hatch = space.add_hatch(dxfattribs=_looks(0.0, "", fill, layer))
                hatch.paths.add_edge_path().add_arc((cx, height - cy), r, 0, 360)
            if weight:
                space.add_circle((cx, height - cy), r, dxfattribs=_looks(weight, "", colour, layer))
        case Arc(cx, cy, r, a, b, weight, dash, colour, layer):
            space.add_arc((cx, height - cy), r, -b, -a, dxfattribs=_looks(weight, dash, colour, layer))
        case _:
            return
