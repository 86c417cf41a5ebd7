"""Papers against general-purpose tools, in one run: a long table set by our press and by WeasyPrint; a cutting plan by our
search and by CP-SAT; a whole pack made new and made again.

.venv/bin/python timings/papers.py
"""
# ruff: noqa: T201 - it prints its table

import logging
import os
import random
import tempfile
import time
from collections.abc import Callable
from html import escape
from pathlib import Path
from statistics import median
from typing import Any

from ohmwright.papers.doc import Cell, Column, Doc, Head, Table, shown
from ohmwright.papers.press import Press, pages_of, pdf_of
from ohmwright.papers.stamp import Stamp
from ohmwright.services.papers import FONTS, papers
from ohmwright.takeoff.drums import cut

ROUNDS = 5
DEMO = Path(__file__).parents[1] / "src" / "ohmwright" / "services" / "demos" / "trailer" / "rig-built.yaml"
COLUMNS = tuple(
    Column(t, part=p)
    for t, p in (("id", 2), ("label", 3), ("size", 2), ("metres", 1), ("from", 3), ("to", 3))
)
ROWS: tuple[tuple[Cell, ...], ...] = tuple(
    (f"W{n:03d}", f"XP-U{n}-P-1", "4/0 AWG", n / 10, f"XP.{n}", f"U{n}.dc.+") for n in range(200)
)
COIL_mm = 10_000


def took_ms(work: Callable[[], object]) -> float:
    """One go, in milliseconds."""
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1e3


def told(name: str, goes: list[float]) -> str:
    """Median and spread of some goes."""
    return f"{name:34s} {median(goes):8.1f} ms   ({min(goes):.1f} to {max(goes):.1f})"


def ours() -> bytes:
    """The table by our press."""
    head = Head(
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
    return pdf_of(
        (Doc(head, (Table(COLUMNS, ROWS, size="small"),)),),
        Press(str(FONTS), Stamp("2026-05-02", "abc")),
        "table",
    )


def theirs() -> bytes:
    """The same rows by WeasyPrint, with the same face."""
    from weasyprint import HTML

    rows = "".join(
        "<tr>" + "".join(f"<td>{escape(shown(c, k))}</td>" for c, k in zip(r, COLUMNS, strict=True)) + "</tr>"
        for r in ROWS
    )
    heads = "".join(f"<th>{c.title}</th>" for c in COLUMNS)
    face = (FONTS / "SourceSans3-Regular.ttf").as_uri()
    style = f"@font-face{{font-family:S;src:url({face})}}body{{font:7.5pt S}}table{{width:100%;border-collapse:collapse}}"
    made: bytes = HTML(
        string=f"<style>{style}</style><table><thead><tr>{heads}</tr></thead>{rows}</table>"
    ).write_pdf()
    return made


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


def main() -> None:
    """Measure in turn and print medians, spread and ratios."""
    for name in ("weasyprint", "fontTools"):
        logging.getLogger(name).setLevel(logging.ERROR)
    goes: dict[str, list[float]] = {"ours": [], "theirs": []}
    pages = pages_of(ours())
    theirs()
    for _ in range(ROUNDS):
        goes["ours"].append(took_ms(ours))
        goes["theirs"].append(took_ms(theirs))
    print(f"A table of {len(ROWS)} rows ({pages} pages)")
    print(told("  our press", goes["ours"]))
    print(told("  WeasyPrint", goes["theirs"]))
    print(f"  ratio {median(goes['theirs']) / median(goes['ours']):.1f}")

    chance = random.Random(7)
    for n in (12, 25, 40):
        lists = [[chance.randrange(200, 4500, 50) for _ in range(n)] for _ in range(ROUNDS)]
        mine, solver, same = [], [], 0
        for pieces in lists:
            named = [(str(i), p) for i, p in enumerate(pieces)]
            mine.append(took_ms(lambda named=named: cut(named, COIL_mm)))  # type: ignore[misc]
            start = time.perf_counter()
            fewest = by_solver(pieces)
            solver.append((time.perf_counter() - start) * 1e3)
            plan = cut(named, COIL_mm)
            same += plan.coils == fewest
        print(f"\nA cutting plan of {n} pieces (as few coils in {same} of {ROUNDS})")
        print(told("  our search", mine))
        print(told("  CP-SAT", solver))
        print(f"  ratio {median(solver) / median(mine):.0f}")

    os.environ.setdefault("SOURCE_DATE_EPOCH", "1777680000")
    new, again = [], []
    for _ in range(ROUNDS):
        with tempfile.TemporaryDirectory() as out:
            new.append(took_ms(lambda out=out: papers(str(DEMO), out)))  # type: ignore[misc]
            again.append(took_ms(lambda out=out: papers(str(DEMO), out)))  # type: ignore[misc]
    print("\nThe whole pack of the trailer, checks and year included")
    print(told("  into an empty folder", new))
    print(told("  into the same folder again", again))
    print(f"  ratio {median(new) / median(again):.1f}")


if __name__ == "__main__":
    main()
