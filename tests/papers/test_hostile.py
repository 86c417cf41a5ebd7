"""A rig that was written to hurt: markup, formulas, marks that turn text round, names as long as the reader takes.

Every paper of it is made, stays within its frame, runs nothing, and its lists hold no formula but their own sums.
"""

import csv
import io
import json
import re
import shutil
import xml.etree.ElementTree as ET
import zipfile

import pytest
from tests.papers.packs import DEMOS, EPOCH, Made, make

from ohmwright.rig.telling import MAX_LINE

#: Markup of typst, HTML, SVG and XML entities; ways to make a spreadsheet run a cell (OWASP, "CSV injection"); marks of
#: the bidirectional algorithm that turn text round (Unicode TR 36); control characters; DXF codes.
ATTACKS = (
    '#panic("x") #import "/etc/passwd" [*b*] $x^2$ @ref <label> \\ // /* */ = - + `raw`',
    "<script>alert(1)</script><svg onload=alert(1)>&amp;&#x3c; ]]> <!-- --> <?php ?>",
    "=cmd|' /C calc'!A0",
    "@SUM(1+1)*cmd|' /C calc'!A0",
    '=HYPERLINK("http://example.org?"&A1)',
    "+1+1",
    "-2+3+cmd",
    "abc\u202egnp.exe\u202c \u200f\u200e\u2066x\u2069\ufeff",
    "שלום عربى 漢字 \U0001f525 e\u0301\u0302\u0303\u0304",
    "%%c %%u {\\fArial|b0;x} \\P ^I",
)


def _longest() -> str:
    return ("Aa-#*_$= " * MAX_LINE)[: min(MAX_LINE, 10_000)].strip()


def _written_to_hurt(text: str) -> str:
    """The trailer's file with an attack in place of every free text, the longest name among them."""
    told = [*ATTACKS, _longest(), "W" * min(MAX_LINE, 10_000)]
    count = 0

    def another(found: re.Match[str]) -> str:
        nonlocal count
        count += 1
        return found[1] + json.dumps(told[count % len(told)], ensure_ascii=True).replace(
            "\\ud83d\\udd25", "\\U0001F525"
        )

    body = re.sub(r'(\b(?:title|note|said|found|why|owner|shop|designer): )"[^"]*"', another, text)
    body = re.sub(r"(^ +(?:title|note|said): )(?![\"{])[^\n]+", another, body, flags=re.MULTILINE)
    body = re.sub(r"((?:[{,] ?)(?:title|note|said): )(?![\"{])[^,}\n]+", another, body)
    assert count > 20
    return body.replace("induction", "漢字-κλέψ")


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The pack of that rig, with a shelf of its own that is as bad."""
    job = tmp_path_factory.mktemp("hostile") / "job"
    shutil.copytree(DEMOS / "trailer", job)
    rig = job / "rig-built.yaml"
    rig.write_text(_written_to_hurt(rig.read_text(encoding="utf-8")), encoding="utf-8")
    parts = "".join(
        f"  {name}: {{like: {name}, title: {json.dumps(attack)}}}\n"
        for name, attack in (
            ("module-410w", ATTACKS[0]),
            ("pv-controller-85a-150v", ATTACKS[2]),
            ("busbar-600a-8stud", ATTACKS[7]),
        )
        if name in rig.read_text(encoding="utf-8")
    )
    (job / "shelf" / "hostile.yaml").write_text(f"ohmwright-shelf: 1\nparts:\n{parts}", encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        return make(rig, job / "papers" / "hostile")


def test_every_paper_of_a_hostile_rig_is_made_and_none_runs_away(hostile: Made, trailer: Made) -> None:
    assert {p["file"] for p in hostile.done.made} == {p["file"] for p in trailer.done.made}
    usual = {p["file"]: p["pages"] for p in trailer.done.made}
    for p in hostile.done.made:
        if p["format"] == "pdf":
            assert hostile.about(p["file"])[0] == p["pages"]
            assert p["pages"] <= 3 * usual[p["file"]] + 30, p["file"]


def test_no_word_of_a_hostile_rig_leaves_its_page(hostile: Made) -> None:
    for p in hostile.done.made:
        if p["format"] != "pdf" or p["file"] == "binder.pdf":
            continue
        _, width, height = hostile.about(p["file"])
        for page, x1, y1, x2, y2, word in hostile.words(p["file"]):
            assert x1 >= 0, (p["file"], page, word)
            assert y1 >= 0, (p["file"], page, word)
            assert x2 <= width + 0.5, (p["file"], page, word[:80])
            assert y2 <= height + 0.5, (p["file"], page, word[:80])


def test_marks_that_turn_text_round_are_on_no_paper(hostile: Made) -> None:
    marks = re.compile("[\u202a-\u202e\u2066-\u2069\u200e\u200f\ufeff]")
    for p in hostile.done.made:
        if p["format"] == "pdf":
            # poppler itself writes such marks around what it takes for text from right to left: none is left to take
            assert not marks.search(hostile.raw(p["file"])), p["file"]


def test_markup_is_printed_as_it_was_written(hostile: Made) -> None:
    told = "".join(
        hostile.text(p["file"]).replace(" ", "") for p in hostile.done.made if p["format"] == "pdf"
    )
    for attack in (ATTACKS[0], ATTACKS[1]):
        assert attack.replace(" ", "")[:28] in told
    assert "root:x:0:0" not in told


def test_lists_of_a_hostile_rig_hold_no_formula_but_their_sums(hostile: Made) -> None:
    for p in hostile.done.made:
        data = (hostile.folder / p["file"]).read_bytes()
        if p["format"] == "csv":
            for row in csv.reader(io.StringIO(data.decode("utf-8"), newline="")):
                for cell in row:
                    first = cell.lstrip(" \t\r\n\ufeff")[:1]
                    assert first not in ("=", "@", "|", "%", "+") or not first, (p["file"], cell[:60])
                    assert first != "-" or re.fullmatch(r"-?\d*(\.\d+)?", cell.strip()), (
                        p["file"],
                        cell[:60],
                    )
        elif p["format"] == "xlsx":
            with zipfile.ZipFile(io.BytesIO(data)) as book:
                for name in book.namelist():
                    text = book.read(name).decode("utf-8")
                    formulas = re.findall(r"<f[^>]*>([^<]*)</f>", text)
                    assert all(re.fullmatch(r"SUM\([A-Z]+\d+:[A-Z]+\d+\)", f) for f in formulas), (
                        name,
                        formulas,
                    )
                    assert "hyperlink" not in text.lower() or "worksheets" not in name


def test_drawings_of_a_hostile_rig_are_drawings_and_nothing_else(hostile: Made) -> None:
    import ezdxf.filemanagement

    for svg in sorted(hostile.folder.glob("*.svg")):
        for e in ET.fromstring(svg.read_text(encoding="utf-8")).iter():
            tag = e.tag.rpartition("}")[2]
            assert tag in {
                "svg",
                "g",
                "title",
                "desc",
                "path",
                "line",
                "polyline",
                "polygon",
                "circle",
                "rect",
                "text",
                "tspan",
                "style",
                "defs",
                "use",
                "metadata",
            }, tag
            assert not [a for a in e.attrib if a.lower().startswith("on") or a.lower().endswith("href")], (
                svg.name,
                tag,
            )
    for dxf in sorted(hostile.folder.glob("*.dxf")):
        assert ezdxf.filemanagement.readfile(dxf).audit().errors == []


def test_a_name_in_letters_that_the_faces_lack_is_marked_on_every_paper_that_names_it(hostile: Made) -> None:
    drawn = [p.stem for p in sorted(hostile.folder.glob("circuit-*.pdf"))]
    assert any("◊◊-κλέψ" in hostile.text(f"{name}.pdf").replace(" ", "") for name in drawn)
    for name in ("schedules", "quote"):
        assert "◊◊-κλέψ" in hostile.text(f"{name}.pdf").replace(" ", ""), name
    assert "漢字-κλέψ" in (hostile.folder / "schedules.csv").read_text(encoding="utf-8")
