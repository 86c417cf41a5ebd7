"""The table of widths says what the fonts say."""

import re
from importlib import resources

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.drawing.lettering import CAPITAL, plain, shortened, text_width, wrapped
from ohmwright.drawing.shapes import Face

FILES: dict[Face, str] = {
    "sans": "SourceSans3-Regular.ttf",
    "sans-semibold": "SourceSans3-Semibold.ttf",
    "sans-bold": "SourceSans3-Bold.ttf",
    "serif": "SourceSerif4-Regular.ttf",
    "serif-semibold": "SourceSerif4-Semibold.ttf",
}
SAMPLES = (
    "W20 6 AWG RD",
    "20\u00a0kA 125\u00a0V DC",
    "3\u00a0×\u00a02.5\u00a0mm²",
    "common −",
    "Tern's Wake, sloop 11.6 m",
    "Ωµ°ÅØÆĄ",
)


@pytest.mark.parametrize("face", FILES)
def test_a_width_is_the_sum_of_the_advances_of_the_font(face: Face) -> None:
    font = TTFont(str(resources.files("ohmwright.papers") / "fonts" / FILES[face]))
    names, advance, per_em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    for sample in SAMPLES:
        by_font = sum(advance[names[ord(c)]][0] for c in sample) / per_em * 3.8
        assert text_width(sample, 3.8, face) == pytest.approx(by_font, abs=0.0006 * 3.8 * len(sample))


@pytest.mark.parametrize("face", FILES)
def test_capitals_are_as_tall_as_the_sheet_counts_them(face: Face) -> None:
    font = TTFont(str(resources.files("ohmwright.papers") / "fonts" / FILES[face]))
    # Both faces are within 1.6 % of one height; the sheet counts with the smaller.
    assert font["OS/2"].sCapHeight / font["head"].unitsPerEm == pytest.approx(CAPITAL, rel=0.02)


def test_wrapped_lines_are_not_too_wide_and_lose_no_word() -> None:
    text = "Interrupt rating 1\u00a0kA; the bank can deliver 9.6\u00a0kA at this post and averyveryverylongwordthatdoesnotfit"
    lines = wrapped(text, 3.0, 30.0)
    assert all(text_width(line, 3.0) <= 30.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert not any(line.endswith("1") for line in lines)


def test_a_shortened_text_fits() -> None:
    assert text_width(shortened("a very long text indeed", 3.0, 12.0), 3.0) <= 12.0


def test_direction_and_control_characters_are_never_lettered() -> None:
    assert plain("a\u202e\u2066b\x07\tc\nd") == "ab c d"


# Against the rule told letter by letter: what has no ink but moves others goes, white space is one space, and held spaces stay.
@settings(deadline=None)
@given(st.text(alphabet="aB \u00a0\u202f\n\t\u202e\u200b", max_size=12))
def test_a_plain_text_is_one_line_of_what_prints(text: str) -> None:
    kept = "".join(c for c in text if c in "aB \u00a0\u202f\n\t")
    words = [w for w in re.split("[ \n\t]", kept) if w]
    assert plain(text) == " ".join(words)


@settings(deadline=None)
@given(st.text(alphabet="ab \u00a0", max_size=30), st.floats(5.0, 60.0))
def test_broken_lines_hold_every_letter_and_none_is_too_wide(text: str, width: float) -> None:
    lines = wrapped(text, 3.0, width)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(text_width(line, 3.0) <= width or len(line) == 1 for line in lines)
