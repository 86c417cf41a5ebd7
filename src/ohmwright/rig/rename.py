"""Giving a thing another id: every use of it in the file is rewritten, comments are left alone."""

from collections.abc import Iterator

from ohmwright.rig.lookups import ROOMS
from ohmwright.rig.splice import Splice, as_scalar, root_of, spliced
from ohmwright.rig.telling import check_name, refuse, short, suggestion
from ohmwright.working import Position
from ohmwright.working import tree as t

#: Paths whose *keys* are ids or begin with one; `*` stands for any key or item.
_KEYS = (
    "parts", "use.loads", "runs", "host.places", "metal", "settings", "cases.*.loads", "cases.*.set", "cases.*", "cuts.*.set",
    "use.stays.*.set",
)  # fmt: skip

#: Paths whose *values* are ids or addresses.
_VALUES = (
    "parts.*.at", "parts.*.on", "parts.*.counts", "parts.*.counts.*", "parts.*.watches", "parts.*.watches.*", "parts.*.join.plus",
    "parts.*.join.minus", "parts.*.but.*.at", "use.loads.*.fed", "use.loads.*.feeds.*", "use.loads.*.at", "runs.*.from", "runs.*.to",
    "runs.*.from.*", "runs.*.to.*", "metal.*.joined", "metal.*.joined.*", "metal.*.touches", "metal.*.touches.*", "metal.*.wet",
    "metal.*.wet.*", "host.places.*.inside", "use.promises.*.loads", "use.promises.*.loads.*", "use.promises.*.together.*",
    "cuts.*.stays-live.*", "looked-at.*.subject", "overrides.*.subject",
)  # fmt: skip

#: Paths whose values hold a way's name or a place.
_WAYS = ("runs.*.via", "runs.*.via.*", "use.loads.*.via", "use.loads.*.via.*")

#: Where an id is given.
_HOMES = ("parts", "use.loads", "runs", "host.places", "metal")


def rename(text: str, file: str, old: str, new: str) -> str:
    """The text in which `old` is called `new` wherever it is used."""
    root = root_of(text, file)
    at = Position(file, 1, 1)
    check_name(t.Scalar(new, at), "a part, load, run, place or metal body")
    ids = {entry.key.text: entry.key for path, entry in _entries(root) if _pattern(path, _HOMES)}
    if old not in ids:
        refuse(
            at,
            f"nothing in the file is called '{short(old)}'",
            suggestion(old, ids, "write an id of this file"),
            old,
        )
    if new in ids or new in ROOMS or any(i.startswith(new + ".") for i in ids):
        refuse(
            ids[new].at if new in ids else at,
            f"'{short(new)}' is taken",
            "write an id that is not used yet",
            new,
        )
    splices: list[Splice] = []
    for path, scalar, is_key in _scalars(root, ()):
        changed = _changed(path, scalar.text, is_key, old, new)
        if changed is not None and changed != scalar.text:
            splices.append(Splice(scalar.at.offset, scalar.at.end, as_scalar(changed, scalar.at)))
    out = spliced(text, splices)
    root_of(out, file)
    return out


def _changed(path: tuple[str, ...], text: str, is_key: bool, old: str, new: str) -> str | None:
    if is_key:
        if path == ("host", "ways"):
            return _way(text, old, new)
        return _address(text, old, new) if _pattern(path, _KEYS) else None
    if _pattern(path, _VALUES):
        return _address(text, old, new)
    if _pattern(path, _WAYS):
        return _way(text, old, new)
    if _pattern(path, ("never.*.these.*",)):
        name, space, state = text.partition(" ")
        changed = _address(name, old, new)
        return f"{changed}{space}{state}" if changed else None
    return None


def _address(text: str, old: str, new: str) -> str | None:
    if text == old:
        return new
    return new + text[len(old) :] if text.startswith(old + ".") else None


def _way(text: str, old: str, new: str) -> str | None:
    places = text.split(" - ")
    if old not in places:
        return None
    return " - ".join(new if p == old else p for p in places)


def _pattern(path: tuple[str, ...], patterns: tuple[str, ...]) -> bool:
    return any(
        len(words := p.split(".")) == len(path)
        and all(w in ("*", k) for w, k in zip(words, path, strict=True))
        for p in patterns
    )


def _scalars(tree: t.Tree, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], t.Scalar, bool]]:
    """Every scalar with the path of what it stands in: a key with its map's path, a value with its own."""
    if isinstance(tree, t.Scalar):
        yield path, tree, False
    elif isinstance(tree, t.Sequence):
        for n, item in enumerate(tree.items, 1):
            yield from _scalars(item, (*path, str(n)))
    else:
        for key, entry in tree.entries.items():
            yield path, entry.key, True
            yield from _scalars(entry.value, (*path, key))


def _entries(root: t.Mapping) -> Iterator[tuple[tuple[str, ...], t.Entry]]:
    for home in _HOMES:
        tree: t.Tree | None = root
        for word in home.split("."):
            tree = tree.get(word) if isinstance(tree, t.Mapping) else None
        if isinstance(tree, t.Mapping):
            yield from ((tuple(home.split(".")), e) for e in tree.entries.values())
