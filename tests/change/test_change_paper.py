"""The change order as a paper to sign: two pages at most, every consequence on it, what changed marked on the drawing."""

import hashlib
import json
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from ohmwright.change.differences import Difference
from ohmwright.change.follows import Moved
from ohmwright.change.stranded import Stranded
from ohmwright.cli.ending import run
from ohmwright.cli.program import program
from ohmwright.drawing.lint import lint_ink
from ohmwright.drawing.shapes import Line
from ohmwright.papers.change_order import changed_addresses, removed_addresses
from ohmwright.papers.circuit_sheet import sheets_before
from ohmwright.services import change_paper
from ohmwright.services.compare import Compared
from ohmwright.services.papers import Look, material_of

EPOCH = "1777680000"  # 2026-05-02


def _text(path: Path) -> str:
    told = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True, timeout=60
    )
    return re.sub(r"\s+", " ", told.stdout.decode("utf-8"))


def _pages(path: Path) -> int:
    told = subprocess.run(["pdfinfo", str(path)], capture_output=True, text=True, check=True).stdout
    return int(re.findall(r"^Pages:\s+(\d+)", told, re.MULTILINE)[0])


@pytest.fixture(scope="module")
def paper(order: Compared, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Change order 2 on paper."""
    folder = tmp_path_factory.mktemp("change")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        change_paper.write(order, str(folder))
    return folder


@pytest.fixture(scope="module")
def text(paper: Path) -> str:
    """The words of the order, white space made one."""
    return _text(paper / "change-order.pdf")


def test_it_is_two_pages_that_can_be_signed(paper: Path, text: str) -> None:
    assert _pages(paper / "change-order.pdf") <= 2
    for told in ("agreed, customer", "agreed, shop", "in vain is paid by", "CAUTIONS", "Local codes"):
        assert told in text
    assert "Nothing of it is done before it is signed" in text


def test_parts_stand_by_their_titles_and_not_by_their_shelf_entries(order: Compared, text: str) -> None:
    assert "6 × PV module 200 W 3 × PV module 410 W" in text
    assert "1 in series, 6 side by side 3 in series, 1 side by side" in text
    for o in (order.old, order.new):
        for p in o.opened.rig.parts.values():
            assert p.record.id not in text


def test_the_cold_volts_and_both_controllers_limits_are_on_it(text: str) -> None:
    # By hand: 24.4 V x (1 + 0.0028 x 59) = 28.43 V; 3 x 37.1 V x (1 + 0.0027 x 59) = 129.03 V at -34 degC; by NFPA 70
    # Table 690.7(A), factor 1.23 (second-hand), 136.9 V.
    assert "28.43 V, limit 100 V 129 V, limit 150 V" in text
    assert "136.9 V, limit 150 V" in text


def test_money_mass_and_hours_differ_by_what_stands_before_and_after(paper: Path) -> None:
    told = subprocess.run(
        ["pdftotext", "-layout", str(paper / "change-order.pdf"), "-"], capture_output=True, check=True
    )
    rows = {
        c[0]: c[1:]
        for line in told.stdout.decode("utf-8").splitlines()
        if len(c := re.split(r"\s{2,}", line.strip())) == 4
    }
    for name in (
        "parts and cable, USD",
        "whole price from, USD",
        "hours of work, from",
        "parts and conductors, kg",
    ):
        before, after, moved = (float(re.sub(r"\s", "", x).replace("−", "-")) for x in rows[name])
        assert after - before == pytest.approx(moved, abs=0.051), name


def test_what_was_spent_in_vain_adds_up(order: Compared, text: str) -> None:
    total = order.stranded_in("USD")
    assert total > 1260
    assert f"Together {total:.2f} USD. Who pays is agreed below." in text
    for s in order.stranded:
        assert s.what in text
        assert s.dated in text


def test_papers_that_read_otherwise_are_named(order: Compared, text: str) -> None:
    stems = {p.rpartition(".")[0] for p in order.follows.papers} - {"contents", "binder"}
    assert {"schedules", "labels", "cut-list", "circuit-1"} <= stems
    flat = text.replace(" ", "")
    assert f"{len(stems)} papers are issued again" in text
    assert all(stem in flat for stem in stems)
    # what this change does not touch: the cabin's earthing is not in it, and a trailer's cards for the supply stay
    assert "runs-together" not in stems


def test_every_new_and_every_settled_finding_is_counted(order: Compared, text: str) -> None:
    for f in order.follows.findings_new:
        assert f.message.partition(":")[0][:40] in text
    for number in {f.number for f in order.follows.findings_gone}:
        assert f" {number} " in text


def test_the_new_circuit_bears_a_triangle_for_what_changed(order: Compared, paper: Path) -> None:
    changed = changed_addresses(order.follows)
    assert {"M", "S1", "U1", "F5", "W01", "W33"} <= set(changed)
    assert "XJ" not in changed  # what is gone cannot be marked
    told = _text(paper / "change-circuit-1.pdf")
    assert told.count("Δ") >= 5
    assert "WHAT FOLLOWS" in told


def test_the_old_circuit_bears_ticks_across_what_goes_and_nothing_else(order: Compared, paper: Path) -> None:
    removed = removed_addresses(order.follows)
    assert "XJ" in removed
    assert not set(removed) & set(order.new.opened.rig.parts)
    assert not set(removed) & set(order.new.opened.rig.runs)
    old = material_of(order.old, None)
    sheets = sheets_before(old, removed)
    ticked = {
        g.ref
        for sheet in sheets
        for g in sheet.groups
        for s in g.shapes
        if isinstance(s, Line) and s.colour == "violet"
    }
    assert "XJ" in ticked
    assert ticked <= set(removed)
    assert lint_ink(sheets) == []
    told = _text(paper / "change-removed-1.pdf")
    assert "Circuit before" in told
    assert "ticked: taken out" in told


def test_the_same_order_gives_the_same_bytes(order: Compared, paper: Path, tmp_path: Path) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        made = change_paper.write(order, str(tmp_path)).made
    for name in made:
        one, two = (hashlib.sha256((folder / name).read_bytes()).hexdigest() for folder in (paper, tmp_path))
        assert one == two, name


def test_on_us_letter_in_us_units_it_is_two_pages_too(order: Compared, tmp_path: Path) -> None:
    change_paper.write(order, str(tmp_path), Look(sheet="letter", units="us"))
    assert _pages(tmp_path / "change-order.pdf") <= 2
    assert "parts and conductors, lb" in _text(tmp_path / "change-order.pdf")


def test_a_change_of_everything_with_long_names_is_two_pages(order: Compared, tmp_path: Path) -> None:
    long = "very long name " * 40
    f = order.follows
    swollen = replace(
        f,
        changes=tuple(Difference(f"{long}{i}", "changed", long, long) for i in range(300)),
        findings_new=tuple(replace(x, message=long, subject=long, number=f"A{i}") for i, x in enumerate(f.findings_gone * 9)),
        moved=tuple(Moved(f"{long}{i}", long, "V", 1.0, 2.0 + i, "pass", "fail", 0) for i in range(300)),
        labels_new=tuple(f"{long.strip().replace(' ', '-')} {i}" for i in range(300)),
    )  # fmt: skip
    lost = tuple(Stranded(f"P{i}", long, "bought", "2026-03-01", None, "") for i in range(90))
    change_paper.write(replace(order, follows=swollen, stranded=lost), str(tmp_path))
    assert _pages(tmp_path / "change-order.pdf") <= 2
    told = _text(tmp_path / "change-order.pdf")
    assert "agreed, customer" in told
    assert "more: see the check report" in told


def test_the_command_writes_it_and_its_json_names_papers_and_files(
    larkspur: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    status = run(program, ["compare", larkspur, f"{larkspur}/co2.yaml", "-o", str(out), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert status in (0, 1)
    assert told["files"] == sorted(
        (p.name for p in out.iterdir()), key=lambda n: (n != "change-order.pdf", n)
    )
    assert "labels.pdf" in told["papers"]


def test_a_rig_against_itself_changes_nothing(larkspur: str, tmp_path: Path) -> None:
    from ohmwright.services.compare import compare

    change_paper.write(compare(larkspur, larkspur), str(tmp_path))
    told = _text(tmp_path / "change-order.pdf")
    for sentence in (
        "No judged figure moved.",
        "No wire label changes.",
        "No setting changes.",
        "No paper reads otherwise.",
    ):
        assert sentence in told


def test_a_cable_of_three_cores_is_counted_once_in_the_metres_that_move(order: Compared) -> None:
    # AC cable lies in the trailer with three cores a piece: its metres in the order of cable are those of its sheath.
    from ohmwright.change.follows import Known, follows

    old = order.old.study
    takeoff = old.takeoff
    core = next(c for c in takeoff.cuts if c.cores == 3)
    cuts = tuple(replace(c, cut_m=(c.cut_m or 0) + 1.0) if c.piece == core.piece else c for c in takeoff.cuts)
    known = [Known(old, order.old.findings, t) for t in (takeoff, replace(takeoff, cuts=cuts))]
    moved = [m for m in follows(*known).moved if m.name == "cable to cut"]
    assert [m.subject for m in moved] == [core.size]
    assert (moved[0].after or 0) - (moved[0].before or 0) == pytest.approx(1.0)


def test_the_paper_to_sign_says_hot_volts_home_run_and_coupling(text: str) -> None:
    assert "home run, cross-section, M, mm²" in text
    assert "Hot power-point voltage reaches the battery, M.1, V" in text
    assert "on the coupling, by parts and cables, host, kg" in text
