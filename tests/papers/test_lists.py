"""CSV and XLSX: no cell becomes a formula, numbers stay numbers, sums are live and right."""

import csv
import io
import re
import shutil
import subprocess
import xml.etree.ElementTree as ET
import zipfile
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.papers.packs import Made

from ohmwright.papers.doc import Column, Head, Table
from ohmwright.papers.lists import csv_of, harmless, xlsx_of
from ohmwright.papers.stamp import Stamp

NS = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
HEAD = Head(
    "job",
    "title",
    "paper",
    "A",
    "built",
    "us-vehicle 2023",
    "2026-05-02",
    "abc123",
    "ohmwright",
    "codes rule",
    tuple("abcdefgh"),
)
STAMP = Stamp("2026-05-02", "abc123", "A")

#: Ways to make a spreadsheet run what a cell says (OWASP, "CSV injection").
ATTACKS = (
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    " =1+1",
    "=cmd|' /C calc'!A0",
    '=HYPERLINK("x")',
    "%0A=1",
    "|calc",
)


@pytest.mark.parametrize("attack", ATTACKS)
def test_a_cell_that_could_run_is_disarmed_in_csv(attack: str) -> None:
    table = Table((Column("what"), Column(attack)), ((attack, 1),))
    rows = list(csv.reader(io.StringIO(csv_of((table,), HEAD).decode("utf-8"), newline="")))
    for row in rows:
        for cell in row:
            assert not cell.lstrip(" \t\r\n").startswith(("=", "+", "-", "@", "|", "%")), cell


@given(st.text(max_size=30))
def test_disarming_loses_no_letter(text: str) -> None:
    assert harmless(text).removeprefix("'") == text.removeprefix("'") or harmless(text) == text


def test_a_negative_number_stays_a_number() -> None:
    assert harmless("-34") == "-34"
    assert harmless("-34.5") == "-34.5"


def _sheet(data: bytes, number: int = 1) -> ET.Element:
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        return ET.fromstring(book.read(f"xl/worksheets/sheet{number}.xml"))


@pytest.mark.parametrize("attack", ATTACKS)
def test_no_text_becomes_a_formula_or_link_in_xlsx(attack: str) -> None:
    table = Table(
        (Column("what"), Column("n", summed=True)),
        ((attack, 1), ("https://example.org", 2)),
        total="Together",
    )
    data = xlsx_of((("sheet", table),), HEAD, (attack,), STAMP)
    formulas = [f.text for f in _sheet(data).iter(f"{{{NS['m']}}}f")]
    assert formulas == ["SUM(B6:B7)"]
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        assert not any("rels" in n and "worksheets" in n for n in book.namelist())


def test_sums_are_live_and_their_kept_values_right(trailer: Made) -> None:
    for name in ("parts-list.xlsx", "order.xlsx", "cut-list.xlsx"):
        with zipfile.ZipFile(trailer.folder / name) as book:
            sheets = [n for n in book.namelist() if n.startswith("xl/worksheets/sheet")]
            found = 0
            for n in sheets:
                root = ET.fromstring(book.read(n))
                cells = {c.attrib["r"]: c for c in root.iter(f"{{{NS['m']}}}c")}
                for c in cells.values():
                    formula = c.find("m:f", NS)
                    if formula is None:
                        continue
                    found += 1
                    column, first, last = re.match(
                        r"SUM\(([A-Z]+)(\d+):[A-Z]+(\d+)\)", formula.text or ""
                    ).groups()  # type: ignore[union-attr]
                    total = sum(
                        float(cells[f"{column}{r}"].findtext("m:v", namespaces=NS) or 0)
                        for r in range(int(first), int(last) + 1)
                        if f"{column}{r}" in cells and cells[f"{column}{r}"].attrib.get("t") != "s"
                    )
                    assert float(c.findtext("m:v", namespaces=NS) or "nan") == pytest.approx(total)
            assert found


def test_the_csv_of_the_parts_adds_up_to_the_takeoff(trailer: Made) -> None:
    rows = list(
        csv.DictReader(io.StringIO((trailer.folder / "parts-list.csv").read_text("utf-8"), newline=""))
    )
    parts = trailer.done.checked.study.takeoff.parts
    assert [r["shelf entry"] for r in rows] == [p.record for p in parts]
    assert sum(Decimal(r["price, USD"]) for r in rows) == sum(
        p.price * p.count for p in parts if p.price is not None
    )
    assert [int(r["count"]) for r in rows] == [p.count for p in parts]


def test_a_cable_with_three_cores_is_summed_once(trailer: Made) -> None:
    rows = list(csv.DictReader(io.StringIO((trailer.folder / "cut-list.csv").read_text("utf-8"), newline="")))
    metres = 0.0
    for r in rows:
        try:
            metres += float(r["cut, m"])
        except ValueError:
            assert r["cut, m"] == "same cable"
    cuts = trailer.done.checked.study.takeoff.cuts
    assert metres == pytest.approx(sum({c.piece: c.cut_m or 0.0 for c in cuts}.values()))


#: An office suite that works every formula again when it opens a file, whatever value the file keeps for it.
ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def _without_kept_values(path: Path, out: Path) -> list[float]:
    """The workbook with 0 kept for every formula; what had been kept."""
    kept: list[float] = []
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name.startswith("xl/worksheets/"):
                kept += [float(v) for v in re.findall(rb"</f><v>([^<]*)</v>", data)]
                data = re.sub(rb"(</f>)<v>[^<]*</v>", rb"\1<v>0</v>", data)
            new.writestr(name, data)
    return kept


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("soffice") is None, reason="no office suite on this machine")
@pytest.mark.parametrize("name", ["parts-list", "cut-list", "order", "schedules"])
def test_an_office_suite_recalculates_the_same_sums(trailer: Made, tmp_path: Path, name: str) -> None:
    profile = tmp_path / "profile" / "user"
    profile.mkdir(parents=True)
    (profile / "registrymodifications.xcu").write_text(ALWAYS)
    sums = _without_kept_values(trailer.folder / f"{name}.xlsx", tmp_path / f"{name}.xlsx")
    utf8_each_sheet = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"
    subprocess.run(
        [
            "soffice", f"-env:UserInstallation=file://{tmp_path / 'profile'}", "--headless", "--convert-to", utf8_each_sheet,
            "--outdir", str(tmp_path / "told"), str(tmp_path / f"{name}.xlsx"),
        ],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    told = "\n".join(p.read_text("utf-8") for p in sorted((tmp_path / "told").glob("*.csv")))
    assert sums or name == "schedules"
    numbers = [float(x) for x in re.findall(r"-?[\d]+(?:\.\d+)?", told.replace("\u202f", ""))]
    for value in sums:
        assert any(abs(n - value) < 0.006 for n in numbers), (name, value)
    if name == "parts-list":
        parts = trailer.done.checked.study.takeoff.parts
        assert str(sum(p.price * p.count for p in parts if p.price is not None)) in told.replace(",", "")
