"""The code on a label says what was put into it, read by a reader that is not ours (zxing-cpp)."""

import numpy as np
import pytest
import zxingcpp

from ohmwright.drawing.qr import CodeTooFineError, CodeTooLongError, least_mm, qr
from ohmwright.drawing.shapes import Polyline, box_of

AS_BUILT = "ohmwright rig summer-trailer revision B sha256 4f2c9a1be07d as built 2026-05-02"


def _printed(text: str, size_mm: float, dots_per_mm: int = 12) -> np.ndarray:
    """The code as a label printer of about 300 dots an inch lays it down."""
    n = round(size_mm * dots_per_mm)
    picture = np.full((n, n), 255, dtype=np.uint8)
    for s in qr(text, size_mm):
        assert isinstance(s, Polyline)
        (x1, y1), _, (x2, y2), _ = s.points
        picture[
            round(y1 * dots_per_mm) : round(y2 * dots_per_mm),
            round(x1 * dots_per_mm) : round(x2 * dots_per_mm),
        ] = 0
    return picture


@pytest.mark.parametrize("text", [AS_BUILT, "A", "Größe 4 mm², Ω 0.2", "x" * 400])
def test_a_reader_finds_the_text_even_at_the_smallest_size(text: str) -> None:
    read = zxingcpp.read_barcode(_printed(text, least_mm(text)))

    assert read is not None
    assert read.text == text


def test_a_code_that_is_soiled_in_one_place_still_reads() -> None:
    # ISO/IEC 18004: level M recovers about 15 % of the code words (from memory); this soils about 3 % of the area.
    picture = _printed(AS_BUILT, 30.0)
    picture[200:265, 150:215] = 0

    read = zxingcpp.read_barcode(picture)

    assert read is not None
    assert read.text == AS_BUILT


def test_the_quiet_zone_lies_inside_the_size() -> None:
    box = box_of(qr(AS_BUILT, 25.0))

    assert box is not None
    assert min(box[0], box[1], 25.0 - box[2], 25.0 - box[3]) == pytest.approx(
        25.0 / 45 * 4
    )  # 79 bytes at level M: version 5, 37 modules


def test_a_code_too_fine_to_print_is_refused_and_says_what_size_would_do() -> None:
    with pytest.raises(CodeTooFineError, match=r"give it 18\.9 mm"):
        qr(AS_BUILT, 12.0)


def test_a_text_too_long_for_any_code_is_refused() -> None:
    with pytest.raises(CodeTooLongError, match="No code holds 5000 letters"):
        qr("x" * 5000, 100.0)
