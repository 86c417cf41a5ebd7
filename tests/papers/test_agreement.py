"""Conductor schedule, cut list, labels, circuit sheet and three-line sheet agree in every id, size and length: all of them are walked.

A builder reads the size from the drawing, cuts by the list, crimps by the schedule and finds the wire by its label: where
two of them differ, one is wrong.  No published source: it is what the papers are for.
"""

import csv
import io
import re
from collections import Counter
from functools import lru_cache

import pytest
from tests.papers.packs import material

from ohmwright.drawing.shapes import Text
from ohmwright.papers.catalogue import words
from ohmwright.papers.circuit_sheet import further_of, sheets_of
from ohmwright.papers.cut_list import cut_table
from ohmwright.papers.doc import Labels
from ohmwright.papers.labels import labels_sheet
from ohmwright.papers.lists import csv_of
from ohmwright.papers.material import Material
from ohmwright.papers.schedules import conductors
from ohmwright.rig.expand import graph_of

RIGS = (
    "trailer/rig.yaml",
    "trailer/rig-swapped.yaml",
    "trailer/rig-built.yaml",
    "boat/rig.yaml",
    "cabin/rig.yaml",
    "van/rig.yaml",
)


@lru_cache(maxsize=8)
def _material(rig: str) -> Material:
    return material(rig, words("en"))


def _rows(m: Material, name: str) -> dict[str, dict[str, str]]:
    """By conductor, the first line of each as a machine reads it from CSV."""
    table = cut_table(m) if name == "cuts" else conductors(m)
    data = csv_of((table,), m.head("cuts")).decode("utf-8")
    told = [r for r in csv.DictReader(io.StringIO(data, newline="")) if r["conductor"]]
    assert len(told) == len({r["conductor"] for r in told})
    return {r["conductor"].removeprefix("'"): r for r in told}


def _metres(text: str) -> float | None:
    return round(float(text), 4) if text else None


@pytest.mark.parametrize("rig", RIGS)
def test_schedule_and_cut_list_agree_in_every_conductor(rig: str) -> None:
    m = _material(rig)
    cut, schedule = _rows(m, "cuts"), _rows(m, "schedule")
    assert set(cut) == set(schedule) == set(graph_of(m.rig).conductors)
    for name, row in cut.items():
        other = schedule[name]
        assert row["size"] == other["size"], name
        assert row["label at both ends"] == other["label at both ends"], name
        assert _metres(row["run, m"]) == _metres(other["run, m"]), name
        assert row["guarded by"] == other["guarded by"], name


@pytest.mark.parametrize("rig", RIGS)
def test_every_wire_has_two_labels_with_the_name_and_label_of_the_cut_list(rig: str) -> None:
    m = _material(rig)
    printed = [b for b in labels_sheet(m).blocks if isinstance(b, Labels)][-1]
    told = Counter("".join(x.lines).replace(" ", "") for x in printed.items)
    wanted = Counter(
        {f"{r['label at both ends']}{name}".replace("'", "").replace(" ", ""): 2 for name, r in _rows(m, "cuts").items() if _is_cut(m, name)}
    )  # fmt: skip
    assert told == wanted


def _is_cut(m: Material, name: str) -> bool:
    return not next(c for c in m.takeoff.cuts if c.id == name).made


def _lettered(m: Material, drawing: str) -> dict[str, str]:
    """All that the sheets of a drawing letter at each run, as one text."""
    out: dict[str, list[str]] = {}
    for sheet in sheets_of(m) if drawing == "circuit" else dict(further_of(m))[drawing]:
        for g in sheet.groups:
            if g.ref in m.rig.runs:
                out.setdefault(g.ref, []).extend(s.text for s in g.shapes if isinstance(s, Text))
    return {k: " ".join(v).replace("\u00a0", " ") for k, v in out.items()}


@pytest.mark.parametrize("drawing", ["circuit", "three-line"])
@pytest.mark.parametrize("rig", RIGS)
def test_a_drawing_letters_the_id_size_and_length_of_the_cut_list(rig: str, drawing: str) -> None:
    m = _material(rig)
    told = _lettered(m, drawing)
    rows = _rows(m, "cuts")
    by_run: dict[str, list[str]] = {}
    for c in m.takeoff.cuts:
        by_run.setdefault(c.run, []).append(c.id)
    for run, names in by_run.items():
        assert run in told, f"{run} is on no sheet"
        text = told[run]
        assert m.rig.runs[run].part_of or run.endswith(".branch") or run in text, (run, text)
        for name in names:
            row = rows[name]
            size = re.search(r"(?:(\d+) × )?(\d+(?:\.\d+)?(?:/0)?) (AWG|mm²)", text)
            if size is not None:
                one = row["size"].rpartition(" x ")[2].replace("mm2", "mm²")
                assert f"{size[2]} {size[3]}" == one, (run, text, row["size"])
                if row["size"].partition(" x ")[2]:
                    assert size[1] == row["size"].partition(" x ")[0], (run, text)
            else:
                assert m.rig.runs[run].part_of or "?" in row["size"], (run, text)
            length = re.search(r"(?<![\w.])(\d+(?:\.\d+)?) m(?![\wm²])", text)
            if length is not None:
                metres = _metres(row["run, m"])
                assert metres is not None, (run, text)
                assert float(length[1]) == pytest.approx(
                    metres, abs=0.5 * 10 ** -len(length[1].partition(".")[2])
                ), (run, text)
            elif row["run, m"]:
                # links of a bank tell their length once, beside the bank
                assert m.rig.runs[run].part_of, (run, text)
