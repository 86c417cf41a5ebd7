"""One entry of a shelf file: text to record.

    fuse-class-t-300a: {like: fuse-class-t, title: ..., rated: 300 A @ 25 degC, price: 62 USD 2026-02-01 5 days}

Beside `kind`, `like`, `title`, `source` and `price` its keys are the figures and words of its kind, hyphened.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import NoReturn

from ohmwright import kinds
from ohmwright.kinds.base import COMMON_FIGURES, COMMON_WORDS, Kind
from ohmwright.shelf.record import Price, Record
from ohmwright.working import (
    Figure,
    FileError,
    Given,
    Origin,
    Position,
    QuantityError,
    nearest,
    parse,
    parse_origin,
)
from ohmwright.working import tree as t

OWN_KEYS = ("kind", "like", "title", "source", "price")
_ID = re.compile(r"[a-z0-9][a-z0-9.-]{0,79}\Z")
_PRICE = re.compile(
    r"(?P<amount>\d+(?:\.\d+)?) (?P<currency>[A-Z]{3})(?: (?P<dated>\d{4}-\d{2}-\d{2}))?(?: (?P<days>\d+) days?)?\Z"
)

Finder = Callable[[str], Record | None]


def refuse(at: Position, message: str, remedy: str, text: str = "") -> NoReturn:
    """A mistake in a shelf file, where it stands."""
    raise FileError(message, at=at, remedy=remedy, text=text)


def scalar(tree: t.Tree, wanted: str) -> t.Scalar:
    """The text that stands there."""
    if not isinstance(tree, t.Scalar):
        refuse(tree.at, f"a list or mapping stands where {wanted} is wanted", f"write {wanted}")
    return tree


def mapping(tree: t.Tree, wanted: str) -> t.Mapping:
    """The keys that stand there."""
    if not isinstance(tree, t.Mapping):
        refuse(tree.at, f"{wanted} is wanted here", "write keys with a colon")
    return tree


def check_id(key: t.Scalar) -> str:
    """The id of a part: small letters, figures, hyphens, and not the name of a kind."""
    if not _ID.match(key.text):
        refuse(
            key.at,
            f"'{key.text}' is no id for a part",
            "write small letters, figures and hyphens: function, output, limit",
            key.text,
        )
    if kinds.find(key.text) is not None:
        refuse(
            key.at,
            f"'{key.text}' is the name of a kind",
            "write an id that says output and limit, for instance fuse-class-t-300a",
            key.text,
        )
    return key.text


def read_price(s: t.Scalar, dated: str) -> dict[str, Price]:
    """`62.50 USD 2026-02-01 5 days`; date and days may be left out; other currencies behind a slash."""
    out: dict[str, Price] = {}
    for text in s.text.strip().split(" / "):
        m = _PRICE.match(text.strip())
        if m is None or m["currency"] in out:
            write = "write amount, currency, date and lead time, for instance 62.50 USD 2026-02-01 5 days"
            refuse(s.at, f"'{s.text}' is no price", write, s.text)
        out[m["currency"]] = Price(
            m["amount"], m["currency"], m["dated"] or dated, int(m["days"]) if m["days"] else None
        )
    return out


def read_entry(
    entry: t.Entry, like: Finder, *, priced: str = "", file: str = "", from_shop: bool = False
) -> Record:
    """The record that an entry says. `like` finds the record it takes after."""
    record_id = check_id(entry.key)
    tree = mapping(entry.value, "a part")
    base = _base(tree, like)
    kind = _kind(tree, base, entry.key)
    own_source = _source(tree)
    source = own_source or (base.source if base else None)
    figures: dict[str, Given] = dict(_inherited(base.figures, own_source)) if base else {}
    words: dict[str, str] = dict(base.words) if base else {}
    for key, e in tree.entries.items():
        if key not in OWN_KEYS:
            _own(e, kind, source, figures, words)
    title = tree.get("title")
    price = tree.get("price")
    costs = dict(base.prices) if base else {}
    if price is not None:
        costs = read_price(scalar(price, "a price"), priced)
    return Record(
        record_id,
        kind,
        scalar(title, "a title").text.strip() if title is not None else (base.title if base else record_id),
        figures,
        words,
        next(iter(costs.values()), None),
        False,
        from_shop,
        file,
        costs,
        source,
    )


def _base(tree: t.Mapping, like: Finder) -> Record | None:
    after = tree.get("like")
    if after is None:
        return None
    s = scalar(after, "the id of a part")
    base = like(s.text)
    if base is None:
        refuse(
            s.at,
            f"the shelf has no '{s.text}' to take after",
            "write the id of another part, or kind and all figures",
            s.text,
        )
    return base


def _kind(tree: t.Mapping, base: Record | None, key: t.Scalar) -> Kind:
    named = tree.get("kind")
    if named is None:
        if base is None:
            refuse(
                key.at,
                f"{key.text} does not say what kind it is",
                "write kind: fuse, or like: the id of a part",
                key.text,
            )
        return base.kind
    s = scalar(named, "a kind")
    kind = kinds.find(s.text)
    if kind is None:
        near = nearest(s.text, kinds.names())
        refuse(
            s.at,
            f"'{s.text}' is no kind",
            f"did you mean {near}?" if near else f"write one of: {', '.join(kinds.names())}",
            s.text,
        )
    if base is not None and base.kind is not kind:
        refuse(
            s.at,
            f"it takes after a {base.kind.title}",
            f"write kind: {base.kind.name}, or leave kind out",
            s.text,
        )
    return kind


def _source(tree: t.Mapping) -> Origin | None:
    said = tree.get("source")
    if said is None:
        return None
    s = scalar(said, "a source")
    try:
        return parse_origin(s.text)
    except QuantityError as error:
        refuse(s.at, error.message, error.remedy, s.text)


def _inherited(figures: Mapping[str, Given], source: Origin | None) -> Mapping[str, Given]:
    """Figures taken over; a data sheet named here replaces an invented one."""
    if source is None:
        return figures
    return {
        name: replace(g, origin=source) if isinstance(g, Figure) and g.origin.kind == "invented" else g
        for name, g in figures.items()
    }


def _own(
    entry: t.Entry, kind: Kind, source: Origin | None, figures: dict[str, Given], words: dict[str, str]
) -> None:
    key = entry.key.text
    name = key.replace("-", "_")
    spec = kind.figures.get(name) or COMMON_FIGURES.get(name)
    if spec is not None:
        s = scalar(entry.value, "a quantity")
        try:
            given = parse(s.text, spec.unit)
        except QuantityError as error:
            refuse(s.at, error.message, error.remedy, s.text)
        if isinstance(given, Figure) and (why := spec.refused(name, given.value)):
            refuse(s.at, f"'{s.text}' {why[0]}", why[1], s.text)
        if isinstance(given, Figure) and given.origin.kind == "typed" and source is not None:
            given = replace(given, origin=source)
        figures[name] = given
        return
    word = kind.words.get(name) or COMMON_WORDS.get(name)
    if word is None:
        names = [n.replace("_", "-") for n in (*kind.figures, *COMMON_FIGURES, *kind.words, *COMMON_WORDS)]
        near = nearest(key, [*OWN_KEYS, *names])
        refuse(
            entry.key.at,
            f"'{key}' is no figure or word of a {kind.title}",
            f"did you mean {near}?" if near else f"write one of: {', '.join(names)}",
            key,
        )
    s = scalar(entry.value, " or ".join(word.allowed) or "a word")
    text = s.text.strip()
    if word.allowed and text not in word.allowed:
        refuse(
            s.at,
            f"'{text}' is none of: {', '.join(word.allowed)}",
            f"write {' or '.join(word.allowed)}",
            text,
        )
    words[name] = text
