"""A year that was run once is not run again, and never taken for another rig's."""

import shutil
from pathlib import Path

import pytest
from tests.papers.packs import DEMOS

from ohmwright.energy.types import Year
from ohmwright.services import year_kept as kept
from ohmwright.services.opening import open_rig
from ohmwright.services.year import year_of_opened


@pytest.fixture
def rig(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The boat with a cache of its own, one plain year a go."""
    monkeypatch.setenv("OHMWRIGHT_CACHE", str(tmp_path / "cache"))
    shutil.copytree(DEMOS / "boat", tmp_path / "boat")
    return tmp_path / "boat" / "rig.yaml"


def _files(rig: Path) -> list[Path]:
    return sorted((rig.parents[1] / "cache" / "ohmwright" / "years").glob("*.year")) or sorted(
        (rig.parents[1] / "cache").rglob("*.year")
    )


def test_the_second_asking_gives_the_same_year_without_running_it(
    rig: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = open_rig(str(rig))
    first = kept.year_kept(opened, years=1)
    assert first == year_of_opened(opened, years=1).year
    monkeypatch.setattr(kept, "year_of_opened", lambda *_, **__: pytest.fail("run again"))
    assert kept.year_kept(open_rig(str(rig)), years=1) == first


def test_another_file_another_part_another_number_of_years_is_another_year(rig: Path) -> None:
    kept.year_kept(open_rig(str(rig)), years=1)
    rig.write_text(rig.read_text() + "\n# a word more\n")
    kept.year_kept(open_rig(str(rig)), years=1)
    kept.year_kept(open_rig(str(rig)), years=2)
    assert len(_files(rig)) == 3
    opened = open_rig(str(rig))
    part = next(iter(opened.rig.parts.values()))
    entry = f"ohmwright-shelf: 1\nparts:\n  {part.record.id}: {{kind: {part.record.kind.name}, title: another one}}\n"
    (rig.parent / "shelf").mkdir(exist_ok=True)
    (rig.parent / "shelf" / "own.yaml").write_text(entry)
    assert kept._key(open_rig(str(rig)), 1, for_page=False) != kept._key(opened, 1, for_page=False)
    assert kept._key(opened, 1, for_page=True) != kept._key(opened, 1, for_page=False)


def test_a_spoilt_file_is_run_again(rig: Path) -> None:
    opened = open_rig(str(rig))
    first = kept.year_kept(opened, years=1)
    for path in _files(rig):
        path.write_bytes(b"no year")
    assert kept.year_kept(opened, years=1) == first
    assert isinstance(first, Year)
