"""Telling a mistake of the file in one line, and the small readings that every section needs."""

import re
from collections.abc import Iterable, Mapping
from typing import Any, NoReturn

from ohmwright.working import Figure, FileError, Given, Position, Unknown, nearest
from ohmwright.working import tree as t

MAX_NAME = 64
MAX_LINE = 2000
BARE = frozenset({"yes", "no", "true", "false", "null", "~", "y", "n"})
YES = frozenset({"yes", "true"})
NO = frozenset({"no", "false"})
_NAME = re.compile(r"[^\W\d_][\w-]*(?:\.[\w-]+)*\Z")


def refuse(at: Position, message: str, remedy: str, text: str = "") -> NoReturn:
    """Stop with a mistake of the file."""
    raise FileError(message, at=at, remedy=remedy, text=text)


def short(text: str) -> str:
    """A text that fits into one line of a message."""
    text = " ".join(text.split())
    return text if len(text) <= 60 else text[:57] + "..."


def near(word: str, among: Iterable[str]) -> str | None:
    """The nearest right word, or None. Of short ids one that differs in one letter is near."""
    names = list(among)
    found = nearest(word[: 2 * MAX_NAME], names)
    if found is None and 1 < len(word) <= 4:
        found = next(
            (n for n in names if len(n) == len(word) and n[0] == word[0] and _differ(n, word) == 1), None
        )
    return found


def suggestion(word: str, among: Iterable[str], otherwise: str) -> str:
    """`did you mean X?`, or what to do when nothing is near."""
    found = near(word, among)
    return f"did you mean {found}?" if found else otherwise


def _differ(a: str, b: str) -> int:
    return sum(x != y for x, y in zip(a, b, strict=True))


def listed(words: Iterable[str], most: int = 12) -> str:
    """Words in a row, cut where a message would become a page."""
    all_words = list(words)
    return ", ".join(all_words[:most]) + (", ..." if len(all_words) > most else "")


def what_is(tree: t.Tree) -> str:
    """The word for what stands there."""
    if isinstance(tree, t.Mapping):
        return "a map {...}"
    if isinstance(tree, t.Sequence):
        return "a list [...]"
    return f"'{short(tree.text)}'" if tree.text else "nothing"


def scalar(tree: t.Tree, wanted: str) -> t.Scalar:
    """The scalar that stands there, or a refusal."""
    if isinstance(tree, t.Scalar):
        if not tree.text.strip():
            refuse(tree.at, "nothing stands here", f"write {wanted}, or leave the key out")
        return tree
    refuse(tree.at, f"{what_is(tree)} stands where {wanted} is wanted", f"write {wanted}")


def mapping(tree: t.Tree) -> t.Mapping:
    """The map that stands there, or a refusal."""
    if isinstance(tree, t.Mapping):
        return tree
    refuse(tree.at, f"{what_is(tree)} stands where a map is wanted", "write key: value pairs, or {} for none")


def check_name(key: t.Scalar, what: str) -> str:
    """An id: a letter, then letters, digits and hyphens; a dot only between such words."""
    text = key.text
    if len(text) > MAX_NAME:
        refuse(key.at, f"a name of {len(text)} characters", f"write at most {MAX_NAME}", text[:MAX_NAME])
    if not _NAME.match(text):
        why = (
            "a colon cannot stand in an address" if ":" in text else f"'{short(text)}' is no name for {what}"
        )
        refuse(
            key.at, why, "write a letter, then letters, digits or hyphens, for instance W12 or side-bay", text
        )
    return text


def any_key(key: t.Scalar, what: str) -> str:
    """A key that needs no form of an id."""
    if len(key.text) > 2 * MAX_NAME:
        refuse(key.at, f"a name of {len(key.text)} characters", f"write a shorter name for {what}")
    return key.text


def pick(got: Mapping[str, Any], *keys: str) -> dict[str, Any]:
    """The entries of `got` with these keys, in their order."""
    return {k: got[k] for k in keys if k in got}


def addressed(given: Given, address: str) -> Given:
    """The same figure or not-knowing, with its address."""
    if isinstance(given, Figure):
        g = given
        return Figure(g.value, g.unit, g.low, g.high, g.origin, g.condition, g.seconds, address, g.text)
    return Unknown(given.asked, address) if isinstance(given, Unknown) else type(given)(address=address)


def not_above(got: Mapping[str, Any], entries: Mapping[str, t.Entry]) -> None:
    """Refuse a coldest that lies above the hottest of the same place or stay."""
    cold, hot = got.get("coldest"), got.get("hottest")
    if isinstance(cold, Figure) and isinstance(hot, Figure) and cold.value > hot.value:
        refuse(entries["coldest"].value.at, f"the coldest, {cold.value:g} degC, lies above the hottest, {hot.value:g} degC", "change the two about, or write what was measured")  # fmt: skip
