"""The sentences of all papers, in one file per language."""

import string
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from ohmwright.working import OhmwrightError, packaged, packaged_names
from ohmwright.working import tree as t

_PACKAGE = "ohmwright.papers.words"
SENTENCES = "sentences"


@dataclass(frozen=True, slots=True)
class Words:
    """The sentences of one language. `say` fills in what stands in braces."""

    language: str
    texts: Mapping[str, str]
    lists: Mapping[str, tuple[str, ...]]
    sentences: Mapping[str, str] = field(default_factory=dict)
    """What answers each template of the lower floors; empty in English, which they speak."""

    def say(self, key: str, **values: object) -> str:
        """The sentence `key` with its values put in."""
        return self.texts[key].format_map(values) if values else self.texts[key]

    def all(self, key: str, **values: object) -> tuple[str, ...]:
        """The sentences of a list, in its order."""
        return tuple(line.format_map(values) if values else line for line in self.lists[key])


def languages() -> tuple[str, ...]:
    """The languages there is a file for."""
    names = (name.removesuffix(".yaml") for name in packaged_names(_PACKAGE, ".yaml"))
    return tuple(n for n in names if n != SENTENCES)


@lru_cache(maxsize=1)
def templates() -> tuple[str, ...]:
    """Every sentence of the lower floors that a language has to answer."""
    tree = t.read_tree(
        packaged(_PACKAGE, f"{SENTENCES}.yaml").decode("utf-8"), f"papers/words/{SENTENCES}.yaml"
    )
    assert isinstance(tree, t.Mapping)
    found = tree.get("templates")
    assert isinstance(found, t.Sequence)
    return tuple(s.text for s in found.items if isinstance(s, t.Scalar))


@lru_cache(maxsize=8)
def words(language: str = "en") -> Words:
    """The sentences of a language."""
    if language not in languages():
        raise OhmwrightError(f"no papers in '{language}'", remedy="write one of " + ", ".join(languages()))
    name = f"{language}.yaml"
    tree = t.read_tree(packaged(_PACKAGE, name).decode("utf-8"), f"papers/words/{name}")
    assert isinstance(tree, t.Mapping)
    texts: dict[str, str] = {}
    lists: dict[str, tuple[str, ...]] = {}
    _gather(tree, "", texts, lists)
    return Words(language, texts, lists, dict(_answers(tree.get("sentences"))))


def _answers(tree: t.Tree | None) -> Iterator[tuple[str, str]]:
    if isinstance(tree, t.Sequence):
        for pair in tree.items:
            if isinstance(pair, t.Sequence):
                english, answer = (s.text for s in pair.items if isinstance(s, t.Scalar))
                yield english, answer


def _gather(tree: t.Mapping, before: str, texts: dict[str, str], lists: dict[str, tuple[str, ...]]) -> None:
    for key in tree:
        value = tree.get(key)
        if key == "sentences":
            continue
        name = f"{before}{key}"
        if isinstance(value, t.Mapping):
            _gather(value, f"{name}.", texts, lists)
        elif isinstance(value, t.Scalar):
            texts[name] = value.text
        elif isinstance(value, t.Sequence):
            lists[name] = tuple(s.text for s in value.items if isinstance(s, t.Scalar))


def blanks(text: str) -> frozenset[str]:
    """The names in braces: a translation must have the same ones."""
    return frozenset(name for _, name, _, _ in string.Formatter().parse(text) if name)
