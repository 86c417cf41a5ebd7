"""Load and check a rig of about 300 lines against a ruamel.yaml round trip of the same text, in one run, in processor time.

Every go reads a file of another name: what is kept of a file that was read before would be no reading.

.venv/bin/python timings/load.py
"""
# ruff: noqa: T201 - it prints its table

import io
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path
from statistics import median

from ruamel.yaml import YAML

from ohmwright.rig.edit import set_value
from ohmwright.rig.expand import graph_of
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.working.tree import read_tree

RIG = Path(__file__).parents[1] / "tests" / "rig" / "data" / "boat.yaml"
LINES = 300
ROUNDS = 15


def took_ms(work: Callable[[], object]) -> float:
    """One go, in milliseconds."""
    start = time.process_time()
    work()
    return (time.process_time() - start) * 1e3


def told(name: str, goes: list[float]) -> str:
    """Median and spread of some goes."""
    return f"{name:28s} {median(goes):7.2f} ms   ({min(goes):.2f} to {max(goes):.2f})"


def lengthened(text: str) -> str:
    """The boat with runs of a second windlass circuit's kind, until it has 300 lines."""
    head, tail = text.split("settings:\n", 1)
    more = LINES - len(text.splitlines())
    runs = "".join(
        f"  Y{n:03d}: {{from: XS.{n % 6 + 1}, to: XP.{n % 12 + 1}, cable: 6 mm2 tinned red, length: {n / 10 + 0.1:.1f} m}}\n"
        for n in range(more)
    )
    return head + runs + "settings:\n" + tail


def main() -> None:
    """Measure in turn and print medians, spread and the ratio."""
    text = lengthened(RIG.read_text(encoding="utf-8"))
    shelf = Shelf()
    rig = read_rig(text, "boat.yaml", shelf)
    graph = graph_of(rig)
    names = count(1)

    def round_trip() -> None:
        yaml = YAML()
        yaml.dump(yaml.load(text), io.StringIO())

    ways: dict[str, Callable[[], object]] = {
        "tree of the text": lambda: read_tree(text, "boat.yaml"),
        "load and check": lambda: read_rig(text, f"boat-{next(names)}.yaml", shelf),
        "graph": lambda: graph_of(rig),
        "one edit, read back": lambda: set_value(text, "boat.yaml", "W12.length", f"0.{next(names)} m"),
        "ruamel.yaml round trip": round_trip,
    }
    goes: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(ROUNDS):
        for name, work in ways.items():
            goes[name].append(took_ms(work))
    print(
        f"{len(text.splitlines())} lines, {len(graph.terminals)} terminals, {len(graph.conductors)} conductors, {ROUNDS} rounds in turn"
    )
    for name, took in goes.items():
        print(told(name, took))
    ratio = median(goes["ruamel.yaml round trip"]) / median(goes["load and check"])
    print(f"the round trip takes {ratio:.1f} times as long as load and check")


if __name__ == "__main__":
    main()
