"""Every mistake of a file is one line: where, what, and what to write instead."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ohmwright.rig.expand import graph_of
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.working import FileError

Read = Callable[[str], Rig]

#: (rig, what stands there, what is written instead, the message says, the remedy says)
MISTAKES = [
    ("trailer", "length: 0.17 m", "lenght: 0.17 m", "'lenght' is no key of a run", "did you mean length?"),
    ("trailer", "length: 0.17 m", "length: 0.17", "no unit", "write a number with its unit"),
    ("trailer", "length: 0.17 m", "length: 0.17 kg", "wanted is one in m", "write"),
    ("trailer", "length: 0.17 m", "length: nan m", "no quantity", "write"),
    ("trailer", "length: 0.17 m", "length: 1e3 m", "exponent", "write"),
    ("trailer", "length: 0.17 m", "length: -0.17 m", "less than 0.001", "write 0.001 or more"),
    ("trailer", "length: 0.17 m", "length: {a: b}", "a map", "write"),
    ("trailer", "length: 0.17 m", "length: ''", "nothing stands here", "leave the key out"),
    ("trailer", "shore: none", "shore: no", "'no' stands where a word or a quantity is wanted", "shore: none"),
    ("trailer", "shore: none", "shore: yes", "'yes' stands where", "shore: none"),
    ("trailer", "shore: none", "shore: ~", "'~' stands where", "shore: none"),
    ("trailer", "is: fuse-class-t-400a", "is: fuse-clas-t-400a", "the shelf has no 'fuse-clas-t-400a'", "did you mean fuse-class-t-400a?"),
    ("trailer", "at: hitch}\n  F4", "at: hich}\n  F4", "there is no place 'hich'", "did you mean hitch?"),
    ("trailer", "from: B.+,      to: F1.line", "from: B.+,      to: F1.lin", "F1 has no terminal or port 'F1.lin'", "did you mean F1.line?"),
    ("trailer", "from: B.+,      to: F1.line", "from: B.+,      to: F19.line", "no part, load or metal body 'F19'", "did you mean F"),
    ("trailer", "from: B.+,      to: F1.line", "from: B:+,      to: F1.line", "colon", "write dots"),
    ("trailer", "from: B.+,      to: F1.line", "from: B.2.+,      to: F1.line", "no run lands on B.2.+", "write B.+ or B.-"),
    ("trailer", "from: B.+,      to: F1.line", "from: B.2.F.load,      to: F1.line", "no run lands on B.2.F.load", "ungroup"),
    ("trailer", "from: B.+,      to: F1.line", "from: M.1.2.+,      to: F1.line", "no run lands on M.1.2.+", "write M"),
    ("trailer", "from: B.+,      to: F1.line", "from: U2.ac-out,      to: F1.line", "goes from a terminal to a port", "for instance U2.ac-out.L"),
    ("trailer", "from: B.+,      to: F1.line", "from: F1.line,      to: F1.line", "begins and ends at F1.line", "two different ends"),
    ("trailer", "from: J1,       to: U2.ac-in", "from: M,       to: U2.ac-in", "different poles: from has + -, to has L N PE", "a map"),
    ("trailer", "cable: 3 x 10 AWG, length: 1.1 m", "cable: 2 x 10 AWG, length: 1.1 m", "W23 has 3 conductors, its cable 2 cores", "3 cores"),
    ("trailer", "cable: 3 x 10 AWG, length: 1.1 m", "cable: 3 x 10 gauge, length: 1.1 m", "gauge without its system", "10 AWG or 10 SAE"),
    ("trailer", "cable: 14 AWG red, length: 0.15 m", "cable: 14 AWG rad, length: 0.15 m", "'rad' says nothing of a cable", "did you mean red?"),
    ("trailer", "  W02:", "  W01:", "'W01' stands twice", "write it once"),
    ("trailer", "    fridge:", "    F1:", "'F1' is a part already", "another id"),
    ("trailer", "  W02:", "  fridge:", "the id of something else already", "another id"),
    ("trailer", "fed: PD.1", "fed: PD.13", "PD has no way 'PD.13'", "did you mean PD."),
    ("trailer", "fed: PD.1", "fed: PX.1", "no part 'PX'", "did you mean P"),
    ("trailer", "fed: PD.1", "fed: F1", "F1", "way"),
    ("trailer", "array: 3s1p", "array: 3p1s", "is no array", "for instance 3s1p"),
    ("trailer", "array: 3s1p", "array: 99s99p", "9801 modules", "write at most"),
    ("trailer", "count: 4", "count: 0", "no whole number", "1 to 64"),
    ("trailer", "as: chain", "as: chains", "'chains' is none of", "did you mean chain?"),
    ("trailer", "fitted: {ac-out-bond: relay}", "fitted: {ac-out-bond: rely}", "'rely' is none of", "did you mean relay?"),
    ("trailer", "via: side-bay - hitch}\n  W16", "via: side-bay - hich}\n  W16", "is no way and no place", "did you mean side-bay - hitch?"),
    ("trailer", "ground-relay: enabled", "ground-relay: enable", "no state of a ground relay", "did you mean enabled?"),
    ("trailer", "absorb: 14.2 V, float", "absorb: 14.2, float", "no unit", "12.8 V"),
    ("trailer", "subject: M,", "subject: MX,", "nothing here is called 'MX'", "did you mean M"),
    ("trailer", "dated: 2026-03-02}", "dated: 2026-13-02}", "is no date", "year-month-day"),
    ("trailer", "duty: 0.49 summer", "duty: 1.49 summer", "is more than 1", "write 1 or less"),
    ("trailer", "(m)}\n  W02", "(zz p2)}\n  W02", "sources have no 'zz'", "under sources:"),
    ("trailer", "span: 04-20..10-20", "span: 04-31..10-20", "no span of days", "04-20..10-20"),
    ("trailer", "J1: unplugged", "J1: out", "'J1' is no key of a case", "write"),
    ("trailer", "J1: unplugged", "set: {Q1: opened}", "Q1 is never 'opened'", "did you mean open?"),
    ("trailer", "J1: unplugged", "open: [Q1]", "'open' is no key of a case", "write set: {Q1: open}"),
    ("trailer", "J1: unplugged", "set: {Q9: open}", "no state variable", "did you mean Q1?"),
    ("trailer", "bank: 20 % at 5 degC", "bank: 120 % at 5 degC", "says nothing of a bank", "20 % at 5 degC"),
    ("trailer", "ohmwright: 1", "ohmwright: 2", "a rig file of shape '2'", "write ohmwright: 1"),
    ("trailer", "cases:", "interlocks: [[Q1, Q1]]\ncases:", "'interlocks' is no key", "never:"),
    ("trailer", "cases:", "casse: {}\ncases:", "'casse' is no key", "did you mean cases?"),
    ("trailer", "  chassis: {}", "  chassis: &c {}", "an anchor", "leave the anchor out"),
    ("boat", "from: XB.3, to: F1.line", "from: B.+, to: F1.line", "no run lands on B.+", "write XB.n"),
    ("boat", "count: 2, at: battery-bay", "count: 7, at: battery-bay", "the leads of B take studs 1 to 7", "a longer bar"),
    ("boat", "plus: XB.1", "plus: XQ.1", "'XQ.1', which is no bar", "did you mean X"),
    ("boat", "touches: engine", "touches: engin", "no metal body 'engin'", "did you mean engine?"),
    ("boat", "watches: B}", "watches: BB}", "no bank 'BB'", "did you mean B"),
    ("boat", "on: engine, run-by: engine-running}\n  F20", "on: motor, run-by: engine-running}\n  F20", "no metal body 'motor'", "metal"),
    ("boat", "stays-live: [BM, K1]", "stays-live: [BM, K9]", "no part or load 'K9'", "did you mean K1?"),
    ("boat", "from: PS.2, to: {port: KH.line, PE: XE.4}", "from: PS.2, to: KH.line", "different poles", "cores: L N"),
    ("boat", "{port: KH.line, PE: XE.4}", "{port: KH.line, PEN: XE.4}", "'PEN' is no pole", "did you mean PE?"),
    ("boat", "{port: KH.line, PE: XE.4}", "{port: KH.line, PE: KH.line}", "a port of 2 poles", "one terminal"),
    ("cabin", "inside: plant-room", "inside: battery-box", "lies inside itself", "leave one"),
    ("cabin", "[Q5 1, Q5 2]", "[Q5 1, Q5 3]", "Q5 is never '3'", "write one of: 1, 0, 2"),
    ("cabin", "61.9 N 9.0 E 840 m", "91.9 N 9.0 E 840 m", "no place on earth", "61.9 N"),
    ("cabin", "61.9 N 9.0 E 840 m", "61.9 N 9.0 E 19000 m", "nothing stands 19000 m above the sea", "9000 m at the most"),
    ("trailer", "coldest: -34 degC (o)", "coldest: 34 degC, hottest: 8 degC", "lies above the hottest", "change the two about"),
    ("cabin", "coldest: -36 degC (v)}", "coldest: 41 degC, hottest: 40 degC}", "the coldest, 41 degC, lies above the hottest, 40 degC", "change the two about"),
    ("van", "takes: ac when live else dc, ", "", "does not say which feed", "takes: ac when live else dc"),
    ("van", "cores: L N", "cores: L M", "no pole M at both ends", "L, N"),
    ("van", "to: B.2.+, cable", "to: M.1.2.+, cable", "no run lands on M.1.2.+", "write M"),
    ("split-phase", "20 A L1+L2+N", "20 A L1+L4", "20 A L1+L4", "write"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "there", "instead", "message", "remedy"), MISTAKES, ids=[m[2][:40] for m in MISTAKES]
)
def test_a_mistake_is_told_with_its_place_and_a_remedy(
    name: str, there: str, instead: str, message: str, remedy: str, texts: dict[str, str], read: Read
) -> None:
    assert texts[name].count(there) >= 1
    text = texts[name].replace(there, instead, 1)

    with pytest.raises(FileError) as caught:
        read(text)

    error = caught.value
    assert message in error.message
    assert remedy in error.remedy
    assert re.match(r"rig\.yaml:\d+:\d+: [^\n]+; [^\n]+\Z", str(error))


@pytest.mark.parametrize(
    ("there", "instead", "line"),
    [
        ("length: 0.17 m", "lenght: 0.17 m", "W06"),
        ("fed: PD.1", "fed: PD.13", "fridge"),
        ("is: fuse-class-t-400a", "is: fuse-clas-t-400a", "F1:"),
    ],
)
def test_the_place_of_a_mistake_is_the_line_and_column_it_stands_in(
    there: str, instead: str, line: str, texts: dict[str, str], read: Read
) -> None:
    text = texts["trailer"].replace(there, instead, 1)
    with pytest.raises(FileError) as caught:
        read(text)

    found = text.splitlines()[caught.value.at.line - 1]
    assert line in found
    word = instead.split(": ")[0] if "lenght" in instead else instead.split(": ")[1]
    assert found[caught.value.at.column - 1 :].startswith(word)


def test_an_as_found_rig_may_land_on_a_members_post_but_not_inside_an_array(
    texts: dict[str, str], read: Read
) -> None:
    assert read(texts["van"]).runs["W02"].cores[0].b == "B.2.+"

    with pytest.raises(FileError, match=r"no run lands on B\.2\.\+"):
        read(texts["van"].replace("stage: as found, ", ""))


def test_a_bomb_of_aliases_is_refused(read: Read) -> None:
    bomb = "ohmwright: 1\na: &a [x, x]\n" + "".join(
        f"{chr(98 + i)}: &{chr(98 + i)} [*{chr(97 + i)}, *{chr(97 + i)}]\n" for i in range(20)
    )

    with pytest.raises(FileError, match=r"anchor|alias"):
        read(bomb)


@pytest.mark.parametrize("name", ["x" * 10_000, "a:b", "1B", "B B", "é" * 70])
def test_an_id_that_cannot_be_an_address_is_refused(name: str, read: Read) -> None:
    with pytest.raises(FileError) as caught:
        read(f"ohmwright: 1\nparts:\n  ? '{name}'\n  : {{is: fuse}}\n")

    assert len(str(caught.value)) < 400


def test_a_run_to_a_load_without_terminals_says_how_to_give_it_some(read: Read) -> None:
    with pytest.raises(FileError) as caught:
        read(
            "ohmwright: 1\nparts: {F: {is: fuse}}\nuse: {loads: {lamp: {power: 5 W}}}\nruns: {W: {from: F.load, to: lamp.+, cable: 6 mm2}}\n"
        )

    assert "wired: dc" in caught.value.remedy


def refusal(text: str, shelf: Shelf) -> FileError | None:
    """What the reader says of a text, None when it takes it; any other exception comes through."""
    try:
        graph_of(read_rig(text, "x.yaml", shelf))
    except FileError as error:
        return error
    return None


def test_a_file_cut_short_anywhere_is_read_or_refused(texts: dict[str, str], shelf: Shelf) -> None:
    text = texts["split-phase"]
    refused = [e for n in range(len(text)) if (e := refusal(text[:n], shelf)) is not None]

    assert len(refused) > len(text) // 2
    assert all(e.at.line >= 1 and e.remedy for e in refused)


_PIECES = [
    "yes", "no", ": ", "{", "}", "[", "]", "B.1.+", "U2", "PD.1", "1e3", "\n", "\n  ", "- ", "+", "N", "PE", "unknown", "none", "|", "'", '"', "#", "&a",
    "*a", "!!int ", "<<: ", "0", "-1", "NaN", "é", "\t", "M.1", "3s1p", "count: 0", "at: ", "inside: galley", "~", "🔋", "\x00", "٣",
]  # fmt: skip


TEXTS = [f.read_text(encoding="utf-8") for f in sorted((Path(__file__).parent / "data").glob("*.yaml"))]
SHELF = Shelf()


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_whatever_is_done_to_a_file_it_is_read_or_refused_in_one_line(data: st.DataObject) -> None:
    text = TEXTS[data.draw(st.integers(0, len(TEXTS) - 1))]
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        away = data.draw(st.integers(0, 12))
        text = (
            text[:at]
            + data.draw(st.sampled_from(_PIECES) | st.characters() | st.just(""))
            + text[at + away :]
        )
    error = refusal(text, SHELF)
    assert error is None or re.match(r"x\.yaml:\d+:\d+: [^\n]+; [^\n]+\Z", str(error))
