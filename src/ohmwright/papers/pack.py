"""The pack: every paper of a rig with its fingerprint, made only when asked for."""

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.svg import svg_of
from ohmwright.papers import press as presses
from ohmwright.papers.circuit_sheet import sheets_of
from ohmwright.papers.cut_list import cut_list, cut_table
from ohmwright.papers.doc import Doc, Points, Table, Text, tree
from ohmwright.papers.dxf import dxf_of
from ohmwright.papers.energy_page import energy_page
from ohmwright.papers.lists import csv_of, xlsx_of
from ohmwright.papers.material import Material
from ohmwright.papers.parts_list import parts_list, parts_table
from ohmwright.papers.press import Press, pdf_of, pdf_of_sheet
from ohmwright.papers.report import check_report


@dataclass(frozen=True, slots=True)
class Paper:
    """A finished file."""

    paper: str
    file: str
    format: str
    pages: int | None
    data: bytes
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Planned:
    """A file that can be made: what it will say is settled, and its fingerprint with it."""

    paper: str
    file: str
    format: str
    fingerprint: str
    write: Callable[[Press], bytes]

    def make(self, press: Press) -> Paper:
        """The file itself."""
        data = self.write(press)
        pages = presses.pages_of(data) if self.format == "pdf" else None
        return Paper(self.paper, self.file, self.format, pages, data, self.fingerprint)


def fingerprint(*printed: object) -> str:
    """The hash of what is printed and of the look it is printed in."""
    told = json.dumps([presses.template_hash(), *printed], sort_keys=True, ensure_ascii=False, default=repr)
    return hashlib.sha256(told.encode()).hexdigest()


def pack_of(m: Material) -> Iterator[Planned]:
    """Every file of the pack, in the order of the binder."""
    yield from _drawings(m)
    yield from _doc("check-report", check_report(m))
    yield from _doc("energy", energy_page(m))
    yield from _listed("parts-list", parts_list(m), parts_table(m))
    yield from _listed("cut-list", cut_list(m), cut_table(m))


def _undated(doc: Doc) -> Doc:
    """What the fingerprint sees: a paper whose words did not change is the same paper tomorrow."""
    return replace(doc, head=replace(doc.head, dated="", sha256=""))


def _doc(name: str, doc: Doc) -> Iterator[Planned]:
    mark = fingerprint(name, tree(_undated(doc)))

    def write(press: Press) -> bytes:
        return pdf_of((doc,), press, doc.head.paper)

    yield Planned(name, f"{name}.pdf", "pdf", mark, write)


def _listed(name: str, doc: Doc, *tables: Table) -> Iterator[Planned]:
    yield from _doc(name, doc)
    mark = fingerprint(name, tree(_undated(doc)), tree(tables))
    notes = [
        t
        for b in doc.blocks
        for t in (b.items if isinstance(b, Points) else (b.text,) if isinstance(b, Text) else ())
    ]

    def as_csv(_: Press) -> bytes:
        return csv_of(tables, doc.head)

    def as_xlsx(press: Press) -> bytes:
        named = [(t.title or doc.head.paper, t) for t in tables]
        return xlsx_of(named, doc.head, notes, press.stamp)

    yield Planned(name, f"{name}.csv", "csv", mark, as_csv)
    yield Planned(name, f"{name}.xlsx", "xlsx", mark, as_xlsx)


def _drawings(m: Material) -> Iterator[Planned]:
    sheets = sheets_of(m)
    undated = sheets_of(replace(m, dated="", study=m.study)) if m.dated else sheets
    for n, (sheet, plain) in enumerate(zip(sheets, undated, strict=True), 1):
        name = f"circuit-{n}"
        mark = fingerprint(name, svg_of(plain).replace(m.rig.sha256[:12], ""))
        yield Planned(name, f"{name}.svg", "svg", mark, _svg(sheet))
        yield Planned(name, f"{name}.pdf", "pdf", mark, _pdf(sheet))
        yield Planned(name, f"{name}.dxf", "dxf", mark, _dxf(sheet))


def _svg(sheet: Sheet) -> Callable[[Press], bytes]:
    return lambda _: svg_of(sheet).encode("utf-8")


def _pdf(sheet: Sheet) -> Callable[[Press], bytes]:
    return lambda press: pdf_of_sheet(sheet, press)


def _dxf(sheet: Sheet) -> Callable[[Press], bytes]:
    return lambda press: dxf_of(sheet, press.stamp)
