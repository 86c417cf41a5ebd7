"""The pack: every paper of a rig with its fingerprint, made only when asked for."""

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.svg import svg_of
from ohmwright.papers import press as presses
from ohmwright.papers.cards import (
    emergency_card,
    how_it_lives,
    leave_card,
    readings,
    runs_together,
    wake_card,
)
from ohmwright.papers.circuit_sheet import further_of, sheets_of
from ohmwright.papers.commissioning import commissioning_form
from ohmwright.papers.contents import contents
from ohmwright.papers.cut_list import cut_list, cut_table
from ohmwright.papers.doc import Code, Doc, Points, Table, Text, tree
from ohmwright.papers.dxf import dxf_of
from ohmwright.papers.energy_page import energy_page
from ohmwright.papers.keeping import certificate, maintenance, resale, serials, weights
from ohmwright.papers.labels import labels_sheet
from ohmwright.papers.labour import Costing, costing
from ohmwright.papers.letters import spelt_sheet
from ohmwright.papers.lists import csv_of, xlsx_of
from ohmwright.papers.material import Material
from ohmwright.papers.order_list import coil_plan, order_for, order_list, order_tables
from ohmwright.papers.parts_list import parts_list, parts_table
from ohmwright.papers.press import Part, Press, pdf_of, pdf_of_sheet
from ohmwright.papers.quote import costing_sheet, quote
from ohmwright.papers.report import check_report
from ohmwright.papers.schedules import schedules, tables
from ohmwright.papers.settings_sheet import settings_sheet
from ohmwright.papers.site import site_papers
from ohmwright.papers.stop_use import stop_use, wanted
from ohmwright.takeoff.order import Order


@dataclass(frozen=True, slots=True)
class Paper:
    """A finished file."""

    paper: str
    file: str
    format: str
    pages: int | None
    data: bytes
    fingerprint: str
    title: str = ""


@dataclass(frozen=True, slots=True)
class Planned:
    """A file that can be made: what it will say is settled, and its fingerprint with it."""

    paper: str
    file: str
    format: str
    fingerprint: str
    write: Callable[[Press], bytes]
    title: str = ""
    """Its name as the contents page has it."""

    def make(self, press: Press) -> Paper:
        """The file itself."""
        data = self.write(press)
        pages = presses.pages_of(data) if self.format == "pdf" else None
        return Paper(self.paper, self.file, self.format, pages, data, self.fingerprint, self.title)


def fingerprint(*printed: object) -> str:
    """The hash of what is printed and of the look it is printed in."""
    told = json.dumps([presses.template_hash(), *printed], sort_keys=True, ensure_ascii=False, default=repr)
    return hashlib.sha256(told.encode()).hexdigest()


def pack_of(m: Material) -> Iterator[Planned]:
    """Every file of the pack: contents, the binder's papers in its order, then the shop's own, then the drawings."""
    order = order_for(m)
    drawn = [(name, _Drawn(m, name, sheets)) for name, sheets in (("circuit", sheets_of(m)), *further_of(m))]
    binder = [_Told(name, doc) for name, doc in _binder(m)]
    shop = [(_Told(name, doc), lists) for name, doc, lists in _shop(m, order, costing(m, order))]
    at = [t.name for t in binder].index("schedules")
    sheets_told = [(p.title, p.file, p.fingerprint) for _, d in drawn for p in d.planned if p.format == "pdf"]
    listed = [*(t.line for t in binder[:at]), *sheets_told, *(t.line for t in binder[at:])]
    listed += [t.line for t, _ in shop]
    first = _Told("contents", contents(m, listed))
    yield from _doc(first)
    for t in binder:
        yield from _listed(t, *m.told(tables(m))) if t.name == "schedules" else _doc(t)
    for t, lists in shop:
        yield from _listed(t, *m.told(lists)) if lists else _doc(t)
    for _, d in drawn:
        yield from d.planned
    sheets = [part for _, d in drawn for part in d.parts]
    bound = _bound(first, binder[:at], sheets, binder[at:], [mark for _, _, mark in listed])
    yield replace(bound, title=m.words.say("contents.binder"))


class _Told:
    """A paper with its fingerprint and what the typesetter takes: each worked out once, whoever asks."""

    def __init__(self, name: str, doc: Doc) -> None:
        self.name, self.doc, self.part = name, doc, Part(doc)
        self.said = tree(_undated(doc))
        self.mark = fingerprint(name, self.said)

    @property
    def line(self) -> tuple[str, str, str]:
        """Its line on the contents page."""
        return self.doc.head.paper, f"{self.name}.pdf", self.mark


class _Drawn:
    """The sheets of one sort of drawing as files and as parts of the binder."""

    def __init__(self, m: Material, sort: str, sheets: tuple[Sheet, ...]) -> None:
        self.sheets = tuple(spelt_sheet(s, m.words) for s in sheets)
        self.parts = [Part(s) for s in self.sheets]
        self.planned = [
            replace(p, title=_sheet_title(m, sort, n, len(sheets)))
            for n, sheet in enumerate(sheets, 1)
            for p in self._files(m, f"{sort}-{n}", n - 1, sheet)
        ]

    def _files(self, m: Material, name: str, n: int, sheet: Sheet) -> Iterator[Planned]:
        text, spelt, part, language = svg_of(sheet), self.sheets[n], self.parts[n], m.words.language
        mark = fingerprint(name, text.replace(m.rig.sha256[:12], "").replace(m.dated, ""))
        yield Planned(name, f"{name}.svg", "svg", mark, lambda _: text.encode("utf-8"))
        yield Planned(
            name, f"{name}.pdf", "pdf", mark, lambda press: pdf_of_sheet(spelt, press, language, part)
        )
        yield Planned(name, f"{name}.dxf", "dxf", mark, lambda press: dxf_of(sheet, press.stamp))


def _sheet_title(m: Material, name: str, n: int, of: int) -> str:
    """A drawing's name, with its number where there are several of it."""
    title = m.words.say(f"drawings.{name}")
    return f"{title} {n} / {of}" if of > 1 else title


#: Papers from which somebody could take it that the rig may be used.
_DAILY = ("how-it-lives", "leave-it-card", "wake-up-card", "readings", "runs-together", "energy")


def _binder(m: Material) -> list[tuple[str, Doc]]:
    """The papers of the handover pack, in the order of the binder."""
    papers = [
        ("how-it-lives", how_it_lives(m)), ("emergency-card", emergency_card(m)), ("leave-it-card", leave_card(m)), ("wake-up-card", wake_card(m)),
        ("readings", readings(m)), ("runs-together", runs_together(m)), ("energy", energy_page(m)), ("schedules", schedules(m)), ("labels", labels_sheet(m)),
        ("check-report", check_report(m)), ("settings", settings_sheet(m)), ("commissioning", commissioning_form(m)), ("weights", weights(m)),
        ("serials", serials(m)), ("maintenance", maintenance(m)), ("resale", resale(m)), ("certificate", certificate(m)),
    ]  # fmt: skip
    if not wanted(m):
        return papers
    told = Text(m.words.say("stop.first"), "strong")
    return [("stop-use", stop_use(m)), *((n, replace(d, blocks=(told, *d.blocks)) if n in _DAILY else d) for n, d in papers)]  # fmt: skip


def _shop(m: Material, order: Order, cost: Costing) -> list[tuple[str, Doc, tuple[Table, ...]]]:
    """What the shop buys, cuts and pulls by; the quote and its costing."""
    return [
        ("parts-list", parts_list(m), (parts_table(m),)),
        ("cut-list", cut_list(m, coil_plan(m, order)), (cut_table(m),)),
        ("order", order_list(m, order), order_tables(m, order)),
        ("site", site_papers(m), ()),
        ("quote", quote(m, cost), ()),
        ("costing", costing_sheet(m, cost), ()),
    ]


def _bound(
    first: _Told, before: list[_Told], sheets: list[Part], after: list[_Told], marks: list[str]
) -> Planned:
    """One file of the whole handover pack, pages counted through; the drawings stand before the schedules."""
    parts = (first.part, *(t.part for t in before), *sheets, *(t.part for t in after))
    head, language = first.doc.head, first.doc.language

    def write(press: Press) -> bytes:
        return pdf_of(parts, press, f"{head.job} {head.paper}", language)

    return Planned("binder", "binder.pdf", "pdf", fingerprint("binder", marks, first.said), write)


def _undated(doc: Doc) -> Doc:
    """What the fingerprint sees: a paper whose words did not change is the same paper tomorrow."""
    blocks = tuple(replace(b, text="", caption="") if isinstance(b, Code) else b for b in doc.blocks)
    return replace(doc, blocks=blocks, head=replace(doc.head, dated="", sha256=""))


def _doc(told: _Told) -> Iterator[Planned]:
    doc = told.doc

    def write(press: Press) -> bytes:
        return pdf_of((told.part,), press, doc.head.paper, doc.language)

    yield Planned(told.name, f"{told.name}.pdf", "pdf", told.mark, write, doc.head.paper)


def _listed(told: _Told, *tables: Table) -> Iterator[Planned]:
    yield from _doc(told)
    name, doc = told.name, told.doc
    mark = fingerprint(name, told.said, tree(tables))
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

    yield Planned(name, f"{name}.csv", "csv", mark, as_csv, doc.head.paper)
    yield Planned(name, f"{name}.xlsx", "xlsx", mark, as_xlsx, doc.head.paper)
