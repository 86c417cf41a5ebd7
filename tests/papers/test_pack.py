"""The pack as poppler, ezdxf and a plain XML reader see it, against the rig it was made from."""

import hashlib
import json
import re
import subprocess
import xml.etree.ElementTree as ET

import pytest
from tests.papers.packs import Made, Word

from ohmwright.papers.catalogue import words
from ohmwright.papers.dates import with_dates
from ohmwright.papers.press import FACES
from ohmwright.papers.report import alike
from ohmwright.rig.expand import graph_of

PDFS = (
    "contents", "how-it-lives", "emergency-card", "leave-it-card", "wake-up-card", "readings", "runs-together", "energy", "schedules", "labels", "check-report",
    "settings", "commissioning", "weights", "serials", "maintenance", "resale", "certificate", "parts-list", "cut-list", "order", "site", "quote", "costing", "binder",
)  # fmt: skip


def test_the_list_says_what_lies_in_the_folder(trailer: Made) -> None:
    told = json.loads((trailer.folder / "papers.json").read_text())
    assert {"schema", "program", "rig", "revision", "input_sha256", "papers"} <= set(told)
    files = {p["file"] for p in told["papers"]}
    assert files | {"papers.json"} == {p.name for p in trailer.folder.iterdir()}
    for p in told["papers"]:
        assert set(p) == {"paper", "title", "file", "format", "pages", "sha256", "fingerprint"}
        assert hashlib.sha256((trailer.folder / p["file"]).read_bytes()).hexdigest() == p["sha256"]
    assert {f"{name}.pdf" for name in PDFS} <= files


def test_every_paper_of_the_list_has_the_name_that_the_contents_page_has(trailer: Made) -> None:
    for p in trailer.done.made:
        if p["format"] == "pdf" and p["paper"] not in ("contents", "binder"):
            assert f"{p['title']} {p['file']}" in trailer.text("contents.pdf", "-layout"), p["file"]


def test_pages_are_counted_as_poppler_counts_them(trailer: Made) -> None:
    for p in trailer.done.made:
        if p["format"] == "pdf":
            assert trailer.about(p["file"])[0] == p["pages"]


def test_only_the_chosen_faces_are_printed_and_all_are_inside(trailer: Made) -> None:
    chosen = tuple(f.replace(" ", "") for f in FACES)
    for p in trailer.done.made:
        if p["format"] != "pdf":
            continue
        told = subprocess.run(
            ["pdffonts", str(trailer.folder / p["file"])], capture_output=True, text=True, check=True
        ).stdout
        rows = told.splitlines()[2:]
        assert rows, p["file"]
        for row in rows:
            assert row.split()[0].partition("+")[2].startswith(chosen), (p["file"], row)
            assert " yes yes yes " in row, row  # embedded, subset, with its unicode


def test_every_conductor_stands_in_cut_list_and_schedule(trailer: Made) -> None:
    # Line by line: read in columns, a minus at the end of a name is taken for a hyphen.
    cuts, schedules = (trailer.text(f"{x}.pdf", "-layout") for x in ("cut-list", "schedules"))
    for c in graph_of(trailer.done.checked.opened.rig).conductors.values():
        assert re.search(rf"(?<![\w.]){re.escape(c.id)}(?![\w])", cuts), c.id
        assert re.search(rf"(?<![\w.]){re.escape(c.id)}(?![\w])", schedules), c.id


def test_every_part_stands_in_the_parts_list_with_its_count(trailer: Made) -> None:
    text = trailer.text("parts-list.pdf")
    for line in trailer.done.checked.study.takeoff.parts:
        assert trailer.has("parts-list.pdf", line.record)
        for ref in line.references:
            assert ref in text
    assert "UN 3480" in text


def test_the_lengths_on_paper_are_those_of_the_file(trailer: Made) -> None:
    rows = trailer.raw("cut-list.pdf", "-layout").splitlines()
    # rig file: W07 length 1.0 m; W20 by the way side-bay - galley, 3.4 m; W01 measured 12 m
    for run, metres in (("W07", "1.00"), ("W20", "3.40"), ("W01.+", "12.00")):
        row = next(r for r in rows if re.match(rf"\s*{re.escape(run)}\s", r))
        assert f" {metres} " in row


def test_the_report_prints_every_open_finding_and_the_counts(trailer: Made) -> None:
    text = trailer.text("check-report.pdf")
    findings = trailer.done.checked.findings
    for f in findings:
        if f.verdict in ("fail", "cannot-tell", "overridden"):
            assert trailer.has("check-report.pdf", with_dates(f.message, words())), f.message
            assert f.number in text
            assert trailer.has("check-report.pdf", f.remedy)
    for same in alike(f for f in findings if f.verdict == "fail"):
        subjects = ", ".join(dict.fromkeys(f.subject for f in same))
        assert trailer.has("check-report.pdf", with_dates(subjects, words()))
        for step in (s for last in same[0].steps for s in last.chain()):
            assert trailer.has("check-report.pdf", step.substituted)
    for number, title in trailer.done.checked.not_applied:
        assert number in text
        assert trailer.has("check-report.pdf", title)
    assert trailer.done.checked.statement() in text


def test_no_paper_says_safe_or_compliant_or_no_danger_without_its_limits(trailer: Made, van: Made) -> None:
    for made in (trailer, van):
        for p in made.done.made:
            if p["format"] != "pdf":
                continue
            text = made.text(p["file"])
            assert not re.search(r"\b(safe|safely|compliant|complies)\b", text, re.IGNORECASE), p["file"]
            for m in re.finditer(r"[Nn]o danger(?: found)?(?P<rest>.{0,30})", text):
                assert m["rest"].startswith(" among the"), (p["file"], m[0])


def test_every_paper_bears_its_title_block(trailer: Made) -> None:
    sha = trailer.done.checked.opened.rig.sha256[:12]
    for p in trailer.done.made:
        if p["format"] == "pdf":
            for n in range(1, p["pages"] + 1):
                page = trailer.text(p["file"], "-f", str(n), "-l", str(n))
                for told in (
                    sha,
                    "larkspur",
                    "us-vehicle 2023",
                    "2026-05-02",
                    "Local codes",
                ):
                    assert told in page, (p["file"], n, told)


def test_every_paper_of_words_names_the_program(trailer: Made) -> None:
    for name in PDFS:
        assert "ohmwright 0" in trailer.text(f"{name}.pdf"), name


CAUTIONED = [n for n in PDFS if n not in ("serials", "costing", "readings", "binder")]


@pytest.mark.parametrize("name", CAUTIONED)
def test_what_can_hurt_says_so_on_the_paper(trailer: Made, name: str) -> None:
    assert "CAUTIONS" in trailer.text(f"{name}.pdf")


@pytest.mark.parametrize(
    "name",
    [
        "check-report",
        "cut-list",
        "schedules",
        "commissioning",
        "parts-list",
        "order",
        "labels",
        "emergency-card",
        "settings",
        "site",
        "weights",
    ],
)
def test_no_two_words_lie_on_each_other(trailer: Made, name: str) -> None:
    # A table that did not break over pages once printed 13 rows on each other without any error.
    words = trailer.words(f"{name}.pdf")
    assert words
    by_page: dict[int, list[Word]] = {}
    for w in words:
        by_page.setdefault(w[0], []).append(w)
    for page in by_page.values():
        page.sort(key=lambda w: w[2])
        for i, a in enumerate(page):
            for b in page[i + 1 :]:
                if b[2] > a[4]:
                    break
                wide = min(a[3], b[3]) - max(a[1], b[1])
                high = min(a[4], b[4]) - max(a[2], b[2])
                least = min(a[4] - a[2], b[4] - b[2])
                assert not (wide > 0.6 and high > 0.55 * least), (a, b)


def test_no_word_leaves_the_frame(trailer: Made) -> None:
    for name in ("check-report", "schedules", "commissioning", "cut-list", "labels"):
        _, width, height = trailer.about(f"{name}.pdf")
        mm = 72 / 25.4
        for _, x1, y1, x2, y2, word in trailer.words(f"{name}.pdf"):
            assert 18 * mm <= x1, word
            assert x2 <= width - 9 * mm + 0.1, word
            assert 10 * mm <= y1, word
            assert y2 <= height - 9 * mm + 0.1, word


def test_a_drawing_is_one_to_one_in_every_format(trailer: Made) -> None:
    import ezdxf.filemanagement

    for svg in sorted(trailer.folder.glob("circuit-*.svg")):
        root = ET.fromstring(svg.read_text())
        width, height = (float(root.attrib[k].removesuffix("mm")) for k in ("width", "height"))
        page = trailer.about(svg.with_suffix(".pdf").name)[1:]
        assert page == pytest.approx((width * 72 / 25.4, height * 72 / 25.4), abs=0.02)
        document = ezdxf.filemanagement.readfile(svg.with_suffix(".dxf"))
        assert document.audit().errors == []
        ends = [p for e in document.modelspace().query("LINE") for p in (e.dxf.start, e.dxf.end)]
        assert max(p.x for p in ends) <= width
        assert max(p.y for p in ends) <= height
        lines = sum(1 for e in root.iter() if e.tag.endswith("}line"))
        assert len(document.modelspace().query("LINE")) == lines
        in_svg = {"".join(e.itertext()) for e in root.iter() if e.tag.endswith("}text")}
        assert {e.dxf.text for e in document.modelspace().query("TEXT")} == in_svg


def test_every_conductor_and_device_is_named_on_the_drawing(trailer: Made) -> None:
    text = " ".join(
        trailer.text(p["file"])
        for p in trailer.done.made
        if p["file"].startswith("circuit") and p["format"] == "pdf"
    )
    rig = trailer.done.checked.opened.rig
    for run in rig.runs.values():
        if not run.part_of:
            assert run.id in text, run.id
    for part in rig.parts.values():
        if (
            part.kind.name
            in ("fuse", "battery-switch", "shunt", "inverter-charger", "pv-controller", "dcdc-charger")
            and not part.group
        ):
            assert part.id in text, part.id


def test_every_pdf_says_it_is_an_archive_file_and_is_tagged(trailer: Made) -> None:
    # ISO 19005-2 (PDF/A-2b): the identification schema in the metadata; ISO 32000-1, 14.8: a marked document.
    papers = sorted(trailer.folder.glob("*.pdf"))

    assert papers
    for paper in papers:
        data = paper.read_bytes()
        assert b"<pdfaid:part>2</pdfaid:part><pdfaid:conformance>B</pdfaid:conformance>" in data, paper.name
        assert b"/Marked true" in data, paper.name
