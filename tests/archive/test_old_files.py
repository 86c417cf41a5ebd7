"""Every rig file that a released version could write still opens, and nothing that stands in it is dropped."""

import hashlib
from pathlib import Path

import pytest

from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.freeze import FrozenShelf, frozen_parts
from ohmwright.shelf.load import Shelf
from ohmwright.working import Absent
from ohmwright.working.tree import Mapping, Tree, read_tree

ARCHIVE = Path(__file__).parent
FILES = sorted(path.relative_to(ARCHIVE).as_posix() for path in ARCHIVE.glob("v*/*.yaml"))
ISSUED = [name for name in FILES if name.endswith(".rig.yaml")]


def tree_of(name: str) -> Mapping:
    tree = read_tree((ARCHIVE / name).read_text(), name)
    assert isinstance(tree, Mapping)
    return tree


def rig_of(name: str) -> Rig:
    parts = frozen_parts(tree_of(name))
    shelf = FrozenShelf(parts, name) if parts is not None else Shelf()
    return read_rig((ARCHIVE / name).read_text(), name, shelf)


def keys(tree: Tree | None) -> set[str]:
    return set(tree) if isinstance(tree, Mapping) else set()


def test_the_archive_holds_issued_rigs_and_an_interview() -> None:
    assert len(ISSUED) >= 4
    assert set(FILES) - set(ISSUED)


@pytest.mark.parametrize("name", FILES)
def test_an_old_file_opens_whole(name: str) -> None:
    tree, rig = tree_of(name), rig_of(name)

    assert keys(tree.get("parts")) <= set(rig.parts)
    assert keys(tree.get("runs")) <= set(rig.runs)
    assert keys(tree.get("metal")) <= set(rig.metal)
    assert keys(tree.get("sources")) <= set(rig.sources)
    assert keys(tree.get("settings")) == set(rig.settings)
    use, host = tree.get("use"), tree.get("host")
    assert isinstance(use, Mapping)
    assert isinstance(host, Mapping)
    assert keys(use.get("loads")) <= set(rig.use.loads)
    assert keys(host.get("places")) <= set(rig.host.places)


@pytest.mark.parametrize("name", ISSUED)
def test_an_issued_file_is_complete_alone(name: str) -> None:
    rig = rig_of(name)  # read without a shelf

    assert rig.frozen["letter"] == "A"
    figures = [g for p in rig.parts.values() for g in p.record.figures.values() if not isinstance(g, Absent)]
    assert len(figures) > 50


@pytest.mark.parametrize("name", ISSUED)
def test_an_issued_file_still_has_the_text_that_was_signed(name: str) -> None:
    text = (ARCHIVE / name).read_text()
    signed = text[: text.index("\nfrozen:\n") + 1]

    assert hashlib.sha256(signed.encode()).hexdigest() == rig_of(name).frozen["input-sha256"]
