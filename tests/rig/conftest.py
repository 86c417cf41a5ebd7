"""Five invented rigs and a way to read them."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf

DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="session")
def shelf() -> Shelf:
    return Shelf()


@pytest.fixture(scope="session")
def texts() -> dict[str, str]:
    return {f.stem: f.read_text(encoding="utf-8") for f in sorted(DATA.glob("*.yaml"))}


@pytest.fixture(scope="session")
def read(shelf: Shelf) -> Callable[[str], Rig]:
    return lambda text: read_rig(text, "rig.yaml", shelf)


@pytest.fixture(scope="session")
def rigs(texts: dict[str, str], read: Callable[[str], Rig]) -> dict[str, Rig]:
    return {name: read(text) for name, text in texts.items()}
