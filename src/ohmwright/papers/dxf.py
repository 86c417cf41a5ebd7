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
_ALIGN = {"start": "LEFT", "middle": "CENTER", "end": "RIGHT"}
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
        for name in sorted(document.entitydb.dxf_types_in_use()):  # else their order is that of a set
            document.classes.add_class(name)
        out = io.StringIO()
        document.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = was
    return _stamped(out.getvalue(), stamp, sheet.name).encode("utf-8")


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
    """One shape; DXF counts upwards, a sheet down."""
    from ezdxf.enums import TextEntityAlignment

    match shape:
        case Line(x1, y1, x2, y2, weight, dash, colour, layer):
            space.add_line(
                (x1, height - y1), (x2, height - y2), dxfattribs=_looks(weight, dash, colour, layer)
            )
        case Polyline(points, weight, dash, colour, layer, closed, fill):
            up = [(x, height - y) for x, y in points]
            if fill:
                hatch = space.add_hatch(dxfattribs=_looks(0.0, "", fill, layer))
                hatch.paths.add_polyline_path(up, is_closed=True)
            if weight:
                space.add_lwpolyline(up, close=closed, dxfattribs=_looks(weight, dash, colour, layer))
        case Circle(cx, cy, r, weight, colour, layer, fill):
            if fill:
                hatch = space.add_hatch(dxfattribs=_looks(0.0, "", fill, layer))
                hatch.paths.add_edge_path().add_arc((cx, height - cy), r, 0, 360)
            if weight:
                space.add_circle((cx, height - cy), r, dxfattribs=_looks(weight, "", colour, layer))
        case Arc(cx, cy, r, a, b, weight, dash, colour, layer):
            space.add_arc((cx, height - cy), r, -b, -a, dxfattribs=_looks(weight, dash, colour, layer))
        case Text(x, y, text, em, face, anchor, colour, layer):
            looks = _looks(0.0, "", colour, layer) | {"style": _style(face)}
            told = space.add_text(text.replace("%%", "%%%%"), height=em * _CAPITAL, dxfattribs=looks)
            told.set_placement((x, height - y), align=TextEntityAlignment[_ALIGN[anchor]])
        case _:
            return
