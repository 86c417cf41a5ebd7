"""The same input gives the same bytes, anywhere and in any time zone; what did not change is left alone."""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.papers.packs import DEMOS, EPOCH, SMALL, Made, make

from ohmwright.cli.ending import run
from ohmwright.cli.program import program

RIG = "rig-built.yaml"


def _hashes(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}


def _job(folder: Path) -> Path:
    shutil.copytree(DEMOS / "trailer", folder)
    return folder / RIG


def test_two_runs_in_other_places_and_zones_give_the_same_bytes(
    trailer: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = _job(tmp_path / "elsewhere" / "deeper")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    monkeypatch.setenv("TZ", "Pacific/Chatham")  # 12 h 45 min from Greenwich
    monkeypatch.chdir(tmp_path)
    time.tzset()
    try:
        made = make(Path(os.path.relpath(rig)), Path("out"))
    finally:
        monkeypatch.undo()
        time.tzset()
    again, first = _hashes(tmp_path / "out"), _hashes(trailer.folder)
    assert set(again) == set(first)
    assert [k for k in first if first[k] != again[k]] == []
    assert made.done.notes == trailer.done.notes


@pytest.mark.parametrize("demo", ["", pytest.param("boat/rig.yaml", marks=pytest.mark.slow)])
def test_the_whole_pack_of_another_process_that_sorts_its_sets_otherwise_is_the_same_bytes(
    tmp_path: Path, demo: str
) -> None:
    rig = DEMOS / demo if demo else tmp_path / "rig.yaml"
    if not demo:
        rig.write_text(SMALL)
    for seed, zone in (("1", "UTC"), ("4242", "Asia/Kathmandu")):
        told = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "SOURCE_DATE_EPOCH": EPOCH}
        command = [
            sys.executable,
            "-m",
            "ohmwright",
            "papers",
            str(rig),
            "-o",
            str(tmp_path / seed),
            "--years",
            "1",
        ]
        assert subprocess.run(
            command, env=told, capture_output=True, timeout=120, check=False
        ).returncode in (0, 1)
    first, again = _hashes(tmp_path / "1"), _hashes(tmp_path / "4242")
    assert len(first) > 30
    assert set(first) == set(again)
    assert [k for k in first if first[k] != again.get(k)] == []


def test_on_another_day_only_papers_that_print_the_day_are_new(
    tmp_path: Path, trailer: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "papers"
    shutil.copytree(trailer.folder, folder)
    before = {p.name: p.stat().st_mtime_ns for p in folder.iterdir() if p.name != "papers.json"}
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(EPOCH) + 86400))
    made = make(DEMOS / "trailer" / RIG, folder)
    after = {p.name: p.stat().st_mtime_ns for p in folder.iterdir() if p.name != "papers.json"}
    # a quote holds from a date, and a label bears one: these two are new, with what lists and binds them
    assert {k for k in after if after[k] != before[k]} == {
        "quote.pdf",
        "labels.pdf",
        "contents.pdf",
        "binder.pdf",
    }
    assert any("did not change" in note for note in made.done.notes)


def test_an_edit_makes_only_the_papers_it_is_on(
    tmp_path: Path, trailer: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = _job(tmp_path / "job")
    folder = tmp_path / "papers"
    shutil.copytree(trailer.folder, folder)
    rig.write_text(
        rig.read_text().replace(
            "R1: {full: 14.0 V, end-current: 16 A", "R1: {full: 14.0 V, end-current: 17 A"
        )
    )
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    make(rig, folder)
    first, again = _hashes(trailer.folder), _hashes(folder)
    changed = {k for k in first if first[k] != again[k]} - {"papers.json"}
    # the meter's end current stands on the settings sheet and on the cards that say what full looks like
    assert changed == {
        "settings.pdf",
        "how-it-lives.pdf",
        "readings.pdf",
        "commissioning.pdf",
        "contents.pdf",
        "binder.pdf",
    }


def test_a_paper_that_somebody_spoilt_is_made_again(
    tmp_path: Path, van: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "papers"
    shutil.copytree(van.folder, folder)
    (folder / "emergency-card.pdf").write_bytes(b"spilt coffee")
    (folder / "cut-list.csv").unlink()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    make(DEMOS / "van" / "rig.yaml", folder)
    assert _hashes(folder) == _hashes(van.folder) | {"papers.json": _hashes(folder)["papers.json"]}


def test_a_list_made_to_hurt_or_unreadable_touches_nothing_outside_its_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    victim = tmp_path / "victim.txt"
    victim.write_text("keep me")
    folder = tmp_path / "papers"
    folder.mkdir()
    sha = hashlib.sha256(victim.read_bytes()).hexdigest()
    (folder / "papers.json").write_text(
        json.dumps({"papers": [{"file": "../victim.txt", "sha256": sha, "fingerprint": "x"}]})
    )
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    (tmp_path / "rig.yaml").write_text(SMALL)
    make(tmp_path / "rig.yaml", folder)
    assert victim.read_text() == "keep me"


def test_units_and_sheet_may_be_others_than_the_jobs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "rig.yaml").write_text(SMALL)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    # ISO 216 and ANSI/ASME Y14.1: A4 is 595 x 842 points, letter 612 x 792.
    for options, size, unit in (
        ((), (612.0, 792.0), "each, lb"),
        (("--units", "metric"), (612.0, 792.0), "each, kg"),
        (("--units", "metric", "--sheet", "a4"), (595.28, 841.89), "each, kg"),
        (("--sheet", "a4"), (595.28, 841.89), "each, lb"),
    ):
        out = tmp_path / "-".join(("out", *options))
        run(program, ["papers", str(tmp_path / "rig.yaml"), "-o", str(out), "--years", "1", *options])
        made = Made(out, None)  # type: ignore[arg-type]
        assert made.about("energy.pdf")[1:] == pytest.approx(size, abs=0.1)
        assert unit in made.text("parts-list.pdf")
    capsys.readouterr()


def test_a_language_without_a_file_and_a_year_too_many_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "rig.yaml").write_text(SMALL)
    call = ["papers", str(tmp_path / "rig.yaml"), "-o", str(tmp_path / "out")]
    assert run(program, [*call, "--language", "tlh"]) == 2
    assert "no papers in 'tlh'" in capsys.readouterr().err
    assert run(program, [*call, "--weather", "w.csv", "--years", "4"]) == 2
    assert "one year" in capsys.readouterr().err
