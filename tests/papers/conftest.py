"""Packs of the demo rigs, made once."""

import pytest
from tests.papers.packs import DEMOS, EPOCH, Made, make


def _dated(factory: pytest.TempPathFactory, demo: str, file: str) -> Made:
    """A pack made on the day of these tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        return make(DEMOS / demo / file, factory.mktemp(demo))


@pytest.fixture(scope="session")
def trailer(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The trailer as built."""
    return _dated(tmp_path_factory, "trailer", "rig-built.yaml")


@pytest.fixture(scope="session")
def van(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The van as found: a rescue."""
    return _dated(tmp_path_factory, "van", "rig.yaml")
