"""A square code that a telephone reads (QR, ISO/IEC 18004), as shapes for a label or a sheet.

What a module, a quiet zone and error correction are is the library's field; here it becomes ink in millimetres.
"""

from ohmwright.drawing.shapes import Polyline, Shape
from ohmwright.working.errors import OhmwrightError

#: Blank modules that the standard asks for around the code (from memory).
QUIET = 4
#: A module finer than this may not survive a label printer: five dots of a printer with 300 dots an inch
#: (common practice, no source).
FINEST_MODULE_mm = 0.42


class CodeTooFineError(OhmwrightError):
    """A code whose squares would be too small to print and read."""

    def __init__(self, *, text: str, size_mm: float, least_mm: float) -> None:
        self.text, self.size_mm, self.least_mm = text, size_mm, least_mm
        super().__init__(
            f"A code of {size_mm:g} mm cannot hold {len(text)} letters so that they print sharp; "
            f"write a shorter text, or give it {least_mm:.1f} mm"
        )


class CodeTooLongError(OhmwrightError):
    """A text that no code holds."""

    def __init__(self, *, text: str) -> None:
        self.text = text
        super().__init__(f"No code holds {len(text)} letters; write an address or a short text")


def qr(text: str, size_mm: float) -> tuple[Shape, ...]:
    """The code as ink in a square of `size_mm`, quiet zone included; upper left corner at (0, 0).

    Error correction M: about 15 % of it may be soiled. A row of dark modules is one shape, so that a printer
    leaves no hair lines between them. `moved` puts the shapes elsewhere.
    """
    rows = _rows(text)
    n = len(rows) + 2 * QUIET
    module = size_mm / n
    if module < FINEST_MODULE_mm - 1e-9:
        raise CodeTooFineError(text=text, size_mm=size_mm, least_mm=n * FINEST_MODULE_mm)
    return tuple(
        _bar(module * (a + QUIET), module * (j + QUIET), module * (b + QUIET), module * (j + 1 + QUIET))
        for j, row in enumerate(rows)
        for a, b in _dark(row)
    )


def least_mm(text: str) -> float:
    """The smallest square in which the code still prints sharp, quiet zone included."""
    return (len(_rows(text)) + 2 * QUIET) * FINEST_MODULE_mm


def _rows(text: str) -> tuple[bytes, ...]:
    import segno

    try:
        made = segno.make_qr(text, error="m", boost_error=False)
    except segno.DataOverflowError:
        raise CodeTooLongError(text=text) from None
    return tuple(bytes(row) for row in made.matrix)


def _dark(row: bytes) -> list[tuple[int, int]]:
    """From where to where modules of a row are dark."""
    out: list[tuple[int, int]] = []
    for i, dark in enumerate(row):
        if not dark:
            continue
        if out and out[-1][1] == i:
            out[-1] = (out[-1][0], i + 1)
        else:
            out.append((i, i + 1))
    return out


def _bar(x1: float, y1: float, x2: float, y2: float) -> Shape:
    return Polyline(((x1, y1), (x2, y1), (x2, y2), (x1, y2)), 0.0, closed=True, fill="ink")
