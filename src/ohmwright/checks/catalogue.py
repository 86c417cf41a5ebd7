"""Every rule of the catalogue, built or not, so that a report can say what was not applied."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.checks.sets import SETS
from ohmwright.working.packaged import packaged
from ohmwright.working.tree import Mapping as Branch
from ohmwright.working.tree import Scalar, read_tree


@dataclass(frozen=True, slots=True)
class Listed:
    """A line of the catalogue."""

    number: str
    id: str
    title: str
    severities: tuple[str, ...]
    sets: tuple[str, ...]


@lru_cache(maxsize=1)
def catalogue() -> Mapping[str, Listed]:
    """The lines by number."""
    tree = read_tree(packaged("ohmwright.checks", "catalogue.yaml").decode("utf-8"), "checks/catalogue.yaml")
    assert isinstance(tree, Branch)
    listed = tree.get("rules")
    assert isinstance(listed, Branch)
    return {number: _line(number, listed.get(number)) for number in listed}


def _line(number: str, entry: object) -> Listed:
    assert isinstance(entry, Branch)
    words = {key: value.text for key in entry if isinstance(value := entry.get(key), Scalar)}
    sets = SETS if words["sets"] == "all" else tuple(words["sets"].split())
    return Listed(number, words["id"], words["title"], tuple(words["severities"].split()), sets)
