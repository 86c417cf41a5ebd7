"""The trailer before and after change order 2, compared once for all tests of a session."""

from pathlib import Path

import pytest

from ohmwright.rig.edit import set_value
from ohmwright.services import compare, ledger, new
from ohmwright.services.compare import Compared

#: What change order 2 needs beyond the swap of modules that the wholesaler offered: controller, its device and its cable.
CO_2 = (
    ("parts.U1.is", "pv-controller-85a-150v"),
    ("parts.F5.is", "fuse-dc-power-125a-80v"),
    ("runs.W33.cable", "1 AWG 105C red"),
    ("runs.W34.cable", "1 AWG 105C red"),
    ("runs.W35.cable", "1 AWG 105C black"),
)


@pytest.fixture(scope="session")
def larkspur(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A job folder with the quoted rig as its working file, the offered swap, and change order 2 beside it."""
    folder = new.like(str(tmp_path_factory.mktemp("compare") / "larkspur"), "trailer")
    text = (folder / "rig-swapped.yaml").read_text(encoding="utf-8")
    for path, value in CO_2:
        text = set_value(text, "co2.yaml", path, value)
    (folder / "co2.yaml").write_text(text, encoding="utf-8")
    ledger.add(str(folder), "bought", ("M",), dated="2026-03-01", amount="1260 USD", by="buyer")
    ledger.add(str(folder), "bought", ("FS1", "S1", "Q1"), dated="2026-03-02")
    ledger.add(str(folder), "cut", ("W33", "W36"), dated="2026-04-20", by="bench")
    return str(folder)


@pytest.fixture(scope="session")
def order(larkspur: str) -> Compared:
    """Change order 2 against the quote."""
    return compare.compare(larkspur, str(Path(larkspur) / "co2.yaml"))
