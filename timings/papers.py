"""Papers against general-purpose tools, in one run: a report with one value edited and a long table, set by our press and by
WeasyPrint; a cutting plan by our search and by CP-SAT; the whole pack of the trailer, warm, with the years its chances take.

.venv/bin/python timings/papers.py

Processor time of the process, since a loaded machine misleads the clock on the wall; CP-SAT and WeasyPrint likewise.
"""
# ruff: noqa: T201 - it prints its table

import logging
import os
import random
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from html import escape
from pathlib import Path
from statistics import median
from typing import Any

from ohmwright.papers.doc import (
    Block,
    Cautions,
    Cell,
    Column,
    Doc,
    Fields,
    Head,
    Heading,
    Points,
    Said,
    Table,
    Text,
    shown,
)
from ohmwright.papers.press import Press, pages_of, pdf_of
from ohmwright.papers.report import check_report
from ohmwright.papers.stamp import Stamp
from ohmwright.services.check import check
from ohmwright.services.papers import FONTS, material_of, papers
from ohmwright.services.year import year_of_opened
from ohmwright.takeoff.drums import cut

ROUNDS = 5
PAGES = 12
DEMO = Path(__file__).parents[1] / "src" / "ohmwright" / "services" / "demos" / "trailer" / "rig-built.yaml"
COLUMNS = tuple(
    Column(t, part=p)
    for t, p in (("id", 2), ("label", 3), ("size", 2), ("metres", 1), ("from", 3), ("to", 3))
)
ROWS: tuple[tuple[Cell, ...], ...] = tuple(
    (f"W{n:03d}", f"XP-U{n}-P-1", "4/0 AWG", n / 10, f"XP.{n}", f"U{n}.dc.+") for n in range(200)
)
HEAD = Head(
    "job",
    "title",
    "table",
    "A",
    "built",
    "rules",
    "2026-05-02",
    "abc",
    "ohmwright",
    "codes",
    tuple("abcdefgh"),
)
PRESS = Press(str(FONTS), Stamp("2026-05-02", "abc"))
COIL_mm = 10_000


def took_ms(work: Callable[[], object]) -> float:
    """Processor time of one go, in milliseconds."""
    start = time.process_time()
    work()
    return (time.process_time() - start) * 1e3


def told(name: str, goes: list[float]) -> str:
    """Median and spread of some goes."""
    return f"{name:44s} {median(goes):8.1f} ms   ({min(goes):.1f} to {max(goes):.1f})"


def ours(doc: Doc) -> bytes:
    """A paper by our press."""
    return pdf_of((doc,), PRESS, "paper")


def theirs(doc: Doc) -> bytes:
    """The same words by WeasyPrint, with the same faces and sizes."""
    from weasyprint import HTML

    faces = "".join(
        f"@font-face{{font-family:{name};src:url({(FONTS / f'{file}-Regular.ttf').as_uri()})}}"
        for name, file in (("S", "SourceSans3"), ("R", "SourceSerif4"))
    )
    style = (
        f"{faces}@page{{size:A4;margin:15mm 13mm 29mm 22mm}}body{{font:9.5pt S}}p{{font-family:R}}"
        "table{width:100%;border-collapse:collapse;font-size:7.5pt}td{border-top:0.1mm solid;padding:0.9mm 1.2mm}"
    )
    body = "".join(_html(b) for b in doc.blocks)
    made: bytes = HTML(string=f"<style>{style}</style><h1>{escape(doc.head.paper)}</h1>{body}").write_pdf()
    return made


def _html(b: Block) -> str:
    match b:
        case Table():
            heads = "".join(f"<th>{escape(c.title)}</th>" for c in b.columns)
            rows = "".join(
                "<tr>"
                + "".join(f"<td>{escape(shown(c, k))}</td>" for c, k in zip(r, b.columns, strict=False))
                + "</tr>"
                for r in b.rows
            )
            return f"<table><thead><tr>{heads}</tr></thead>{rows}</table>"
        case Heading():
            return f"<h2>{escape(b.text)}</h2>"
        case Text():
            return f"<p>{escape(b.text)}</p>"
        case Points() | Cautions():
            return "<ul>" + "".join(f"<li>{escape(x)}</li>" for x in b.items) + "</ul>"
        case Said():
            lines = "".join(f"<tr><td>{escape(k)}</td><td>{escape(v)}</td></tr>" for k, v in b.lines)
            worked = "".join(
                f"<tr><td>{escape(w.symbol)}</td><td>{escape(w.formula)}<br>= {escape(w.substituted)}</td><td>{escape(w.value)}</td><td>{escape(w.origins)}</td></tr>"
                for w in b.worked
            )
            return f"<h3>{escape(f'{b.word} {b.number} {b.subject}')}</h3><p>{escape(b.message)}</p><table>{lines}</table><table>{worked}</table>"
        case Fields():
            return "".join(f"<div>{escape(k)} {escape(v)}</div>" for k, v in b.items)
        case _:
            return ""


def report_of_12_pages() -> Doc:
    """The trailer's check report, its lists cut so that it has twelve pages."""
    whole = check_report(material_of(check(str(DEMO)), None))
    for most in range(400, 0, -10):
        blocks = tuple(replace(b, rows=b.rows[:most]) if isinstance(b, Table) else b for b in whole.blocks)
        doc = replace(whole, blocks=blocks)
        if pages_of(ours(doc)) <= PAGES:
            return doc
    return whole


def edited(doc: Doc, value: int) -> Doc:
    """The same report with one value of its longest list changed."""
    at = max(range(len(doc.blocks)), key=lambda i: len(getattr(doc.blocks[i], "rows", ())))
    table = doc.blocks[at]
    assert isinstance(table, Table)
    rows = list(table.rows)
    rows[len(rows) // 2] = (
        *rows[len(rows) // 2][:-2],
        f"{value} of at most 4000 A",
        rows[len(rows) // 2][-1],
    )
    blocks = list(doc.blocks)
    blocks[at] = replace(table, rows=tuple(rows))
    return replace(doc, blocks=tuple(blocks))


def by_solver(pieces: list[int]) -> int:
    """Fewest coils by CP-SAT: the textbook model, a boolean for each piece and coil."""
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    coils = len(cut([(str(i), p) for i, p in enumerate(pieces)], COIL_mm).drums)
    put = {(i, j): model.new_bool_var("") for i in range(len(pieces)) for j in range(coils)}
    used = [model.new_bool_var("") for _ in range(coils)]
    for i in range(len(pieces)):
        model.add_exactly_one(put[i, j] for j in range(coils))
    for j in range(coils):
        model.add(sum(p * put[i, j] for i, p in enumerate(pieces)) <= COIL_mm * used[j])
    model.minimize(sum(used))
    solver: Any = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 20
    solver.parameters.num_workers = 2
    solver.solve(model)
    fewest: int = round(solver.objective_value)
    return fewest


def pages_beside_weasyprint() -> None:
    """One edited report, and one long table, each by both."""
    report = report_of_12_pages()
    table = Doc(HEAD, (Table(COLUMNS, ROWS, size="small"),))
    print(f"A report of {pages_of(ours(report))} pages, one value edited, made again")
    mine, other = [], []
    theirs(report)
    for n in range(ROUNDS):
        changed = edited(report, 1000 + n)
        mine.append(took_ms(lambda doc=changed: ours(doc)))  # type: ignore[misc]
        other.append(took_ms(lambda doc=changed: theirs(doc)))  # type: ignore[misc]
    print(told("  our press", mine))
    print(told("  WeasyPrint", other))
    print(f"  ratio {median(other) / median(mine):.1f}")
    print(f"\nA table of {len(ROWS)} rows ({pages_of(ours(table))} pages), new each time")
    mine, other = [], []
    for n in range(ROUNDS):
        new = replace(
            table, blocks=(Table(COLUMNS, tuple((f"{r[0]}{n}", *r[1:]) for r in ROWS), size="small"),)
        )
        mine.append(took_ms(lambda doc=new: ours(doc)))  # type: ignore[misc]
        other.append(took_ms(lambda doc=new: theirs(doc)))  # type: ignore[misc]
    print(told("  our press", mine))
    print(told("  WeasyPrint", other))
    print(f"  ratio {median(other) / median(mine):.1f}")


def plans_beside_cp_sat() -> None:
    """Cutting plans of growing lists."""
    chance = random.Random(7)
    for n in (12, 25, 40):
        lists = [[chance.randrange(200, 4500, 50) for _ in range(n)] for _ in range(ROUNDS)]
        mine, solver, same = [], [], 0
        for pieces in lists:
            named = [(str(i), p) for i, p in enumerate(pieces)]
            mine.append(took_ms(lambda named=named: cut(named, COIL_mm)))  # type: ignore[misc]
            start = time.process_time()
            fewest = by_solver(pieces)
            solver.append((time.process_time() - start) * 1e3)
            plan = cut(named, COIL_mm)
            same += plan.coils == fewest
        print(f"\nA cutting plan of {n} pieces (as few coils in {same} of {ROUNDS})")
        print(told("  our search", mine))
        print(told("  CP-SAT", solver))
        print(f"  ratio {median(solver) / median(mine):.0f}")


def whole_pack() -> None:
    """The trailer's pack in all formats, the process warm: years run, years kept, nothing changed."""
    from ohmwright.services.opening import open_rig

    os.environ.setdefault("SOURCE_DATE_EPOCH", "1777680000")
    years, new, again = [], [], []
    files = 0
    for n in range(ROUNDS):
        years.append(took_ms(lambda: year_of_opened(open_rig(str(DEMO)), years=0)))
        with tempfile.TemporaryDirectory() as out:
            new.append(took_ms(lambda out=out: papers(str(DEMO), out)))  # type: ignore[misc]
            again.append(took_ms(lambda out=out: papers(str(DEMO), out)))  # type: ignore[misc]
            files = len(list(Path(out).iterdir()))
        if n == 0:
            years.clear()
            new.clear()
            again.clear()
    print(f"\nThe whole pack of the trailer, {files} files, checks included, process warm")
    print(told("  its years, when they are not kept yet", years))
    print(told("  into an empty folder, years kept", new))
    print(told("  into the same folder again", again))
    both = median(years) + median(new)
    print(f"  together, years run anew: {both / 1e3:.1f} s; asked: under 5 s")


def main() -> None:
    """Measure in turn and print medians, spread and ratios."""
    for name in ("weasyprint", "fontTools"):
        logging.getLogger(name).setLevel(logging.ERROR)
    pages_beside_weasyprint()
    plans_beside_cp_sat()
    whole_pack()


if __name__ == "__main__":
    main()
