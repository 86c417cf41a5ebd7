"""Editing a rig file by splicing: one line changes, all others stay as they were, comments and all."""

from ohmwright.rig import shape
from ohmwright.rig.forms import Each, Either, Form, Keys, Many, Raw
from ohmwright.rig.insert import take_keys
from ohmwright.rig.quantities import Reading
from ohmwright.rig.rename import rename
from ohmwright.rig.splice import (
    Splice,
    as_flow,
    as_scalar,
    insert_key,
    insert_lines,
    root_of,
    span,
    spliced,
)
from ohmwright.rig.standing_shape import Stands
from ohmwright.rig.telling import listed, refuse, short, suggestion
from ohmwright.rig.ungroup import ungroup
from ohmwright.shelf.record import Shelf
from ohmwright.working import FileError, Position
from ohmwright.working import tree as t

__all__ = ["clear_value", "rename", "set_value", "ungroup"]

#: Where an id may stand, in the order in which it is looked for.
_HOMES: tuple[tuple[str, ...], ...] = (
    ("parts",),
    ("use", "loads"),
    ("runs",),
    ("host", "places"),
    ("metal",),
    ("host", "ways"),
    ("cases",),
    ("cuts",),
)
#: Keys of a group that hold a value for each member, under the name that it has there.
STANDS = ("stands", "on-board")
#: How deep the entries of a section stand that have a line each: `use`, `loads`, the load.
_LINES = {"parts": 2, "runs": 2, "settings": 2, "metal": 2, "use": 3, "host": 3}
#: Figures of derived runs, and where they stand in the file.
_DERIVED = {"link": "link-length", "lead": "lead-length", "post": "post-length"}


def set_value(text: str, file: str, address: str, value: str, shelf: Shelf | None = None) -> str:
    """The text with one value changed or added.

    `address` is a path of the file (`runs.W12.length`, `settings.U1.float`, `use.stays.1.nights`) or begins with
    an id (`W12.length`, `B.2.resistance`).  What would not read back as the same value is refused.  With a
    `shelf` the whole file is read again, so that a wrong unit or an unknown terminal is refused too.
    """
    root = root_of(text, file)
    at = Position(file, 1, 1)
    path = path_of(root, address, at)
    value = value.strip()
    if (there := _at(root, path)) is not None:
        at = there.at
    form = _form_at(path)
    flow = (
        as_flow(value)
        if form is None or isinstance(form, Raw | Keys | Each | Many | Either | Stands)
        else None
    )
    written = value if flow is not None else as_scalar(value, at)
    _check(form, flow or t.Scalar(value, at))
    new = spliced(text, [_splice(text, root, path, written, at)])
    _read_back(new, file, path, value if flow is None else None, at)
    if shelf is not None:
        from ohmwright.rig.read import read_rig

        read_rig(new, file, shelf)
    return new


def clear_value(text: str, file: str, address: str) -> str:
    """The text without the value at an address; what is not there already stays so."""
    root = root_of(text, file)
    path = path_of(root, address, Position(file, 1, 1))
    while len(path) > 1:
        parent = _at(root, path[:-1])
        alone = isinstance(parent, t.Mapping) and list(parent.entries) == [path[-1]]
        if parent is None or not alone or text[parent.at.offset : parent.at.offset + 1] == "{":
            break
        path = path[:-1]
    return take_keys(text, file, path[:-1], frozenset({path[-1]}))


def path_of(root: t.Mapping, address: str, at: Position) -> tuple[str, ...]:
    """The keys that lead from the root to what `address` names; the last ones may not be there yet."""
    words = address.strip().split(".")
    if not all(words) or any(c in address for c in ":{}[]\n") or len(address) > 300:
        refuse(
            at,
            f"'{short(address)}' is no address",
            "write for instance W12.length, or settings.U1.float",
            address,
        )
    if words[0] in shape.SECTIONS:
        return _whole_member(_walk_words(root, words))
    homes = [(home, room) for home in _HOMES if isinstance(room := _at(root, home), t.Mapping)]
    for home, room in homes:
        for n in range(len(words), 0, -1):
            head = ".".join(words[:n])
            if head in room:
                return _inside(room.entries[head].value, (*home, head), words[n:], home)
    ids = [i for _, room in homes for i in room]
    write = suggestion(words[0], ids, "write a path of the file, for instance runs.W12.length")
    raise FileError(f"nothing in the file is called '{short(words[0])}'", at=at, remedy=write, text=address)


def _inside(tree: t.Tree, path: tuple[str, ...], rest: list[str], home: tuple[str, ...]) -> tuple[str, ...]:
    """The path behind an id: members of a group stand under `but`, derived lengths under `join`, a branch cable at its load."""
    if not rest:
        return path
    if home == ("parts",) and isinstance(tree, t.Mapping):
        if len(rest) == 2 and rest[1] == "length" and (key := _DERIVED.get(rest[0].rstrip("0123456789"))):
            return (*path, "join", key)
        digits = 2 if "array" in tree else 1 if "count" in tree else 0
        if digits == 2 and rest[2:] == ["laid"] and all(w.isdecimal() for w in rest[:2]):
            return (*path, "laid", ".".join(rest[:2]))
        if digits == 1 and rest[0].isdecimal() and rest[-1] in STANDS and len(rest) in (2, 3):
            return (*path, rest[-1], ".".join(rest[:-1]))
        if digits and len(rest) == digits + 1 and all(w.isdecimal() for w in rest[:digits]):
            return (*path, "but", ".".join(rest[:digits]), *_spelt(tree, rest[digits:]))
        if digits and rest[0].isdecimal():
            refuse(
                tree.at,
                f"{path[-1]} is written as a group: {path[-1]}.{'.'.join(rest)} has no line of its own",
                f"set it in `each` or `but`, or ungroup {path[-1]} first",
            )
        return _whole_member((*path, *_spelt(tree, rest)))
    if home == ("use", "loads") and rest[-2:-1] == ["branch"] and rest[:-2] in ([], ["ac"], ["dc"]):
        return (*path, rest[-1])
    return (*path, *_walk_words(tree, rest))


def _whole_member(path: tuple[str, ...]) -> tuple[str, ...]:
    """In `parts.M.laid.1.1` the name of the module is one key, whether it stands there already or not."""
    if path[0] == "parts" and len(path) > 4 and path[2] in ("laid", *STANDS):
        return (*path[:3], ".".join(path[3:]))
    return path


def _spelt(tree: t.Mapping, rest: list[str]) -> tuple[str, ...]:
    """A figure as the file spells it: a hyphen where the program writes an underscore, an older name if it stands there."""
    first = rest[0]
    other = {new: old for old, new in shape.SAME_FIGURE.items()}
    for key in (first, first.replace("_", "-"), other.get(first, "").replace("_", "-")):
        if key and key in tree:
            return (key, *_walk_words(tree.entries[key].value, rest[1:]))
    return (first.replace("_", "-"), *rest[1:])


def _walk_words(tree: t.Tree, words: list[str]) -> tuple[str, ...]:
    """Keys that stand in the tree as far as they do (a key may hold dots), then the words that are left."""
    path: list[str] = []
    rest = list(words)
    while rest:
        if isinstance(tree, t.Mapping):
            n = next((n for n in range(len(rest), 0, -1) if ".".join(rest[:n]) in tree), 0)
            if n:
                key = ".".join(rest[:n])
                path.append(key)
                tree, rest = tree.entries[key].value, rest[n:]
                continue
        elif isinstance(tree, t.Sequence) and rest[0].isdecimal() and 1 <= int(rest[0]) <= len(tree.items):
            path.append(rest[0])
            tree, rest = tree.items[int(rest[0]) - 1], rest[1:]
            continue
        break
    return (*path, *rest)


def _at(tree: t.Tree, path: tuple[str, ...]) -> t.Tree | None:
    found: t.Tree | None = tree
    for word in path:
        if isinstance(found, t.Mapping):
            found = found.get(word)
        elif isinstance(found, t.Sequence) and word.isdecimal() and 1 <= int(word) <= len(found.items):
            found = found.items[int(word) - 1]
        else:
            return None
    return found


def _form_at(path: tuple[str, ...]) -> Form | None:
    """What the shape says may stand at that path; None where only the kind of a part knows."""
    form: Form | None = shape.FILE
    for word in path:
        if isinstance(form, Either):
            form = form.map
        if isinstance(form, Keys):
            form = form.fields.get(word) or form.rest
        elif isinstance(form, Each | Many):
            form = form.of
        elif isinstance(form, Stands):
            return form
        elif form is shape.PARTS.of:
            form = shape.PART.get(word)
        else:
            return None
    return form


def _check(form: Form | None, tree: t.Tree) -> None:
    if form is not None and not isinstance(form, Raw):
        form.take(tree, Reading())


def _splice(text: str, root: t.Mapping, path: tuple[str, ...], written: str, at: Position) -> Splice:
    """Replace the value at `path`; where it is not there yet, add it to the last map that is."""
    tree: t.Tree = root
    for n, word in enumerate(path):
        found = _at(tree, (word,))
        if found is None:
            return _added(text, tree, path[n:], written, path[:n], at)
        tree = found
    return Splice(*span(text, tree), written)


def _added(
    text: str, parent: t.Tree, keys: tuple[str, ...], written: str, path: tuple[str, ...], at: Position
) -> Splice:
    known = _form_at(path)
    if isinstance(known, Keys) and known.rest is None and keys[0] not in known.fields:
        write = suggestion(keys[0], known.fields, f"write one of: {listed(known.fields, 30)}")
        refuse(parent.at, f"'{short(keys[0])}' is no key of {known.what}", write, keys[0])
    if keys[0] not in shape.SECTIONS and not path:
        write = suggestion(keys[0], shape.SECTIONS, f"write one of: {listed(shape.SECTIONS, 20)}")
        refuse(at, f"'{short(keys[0])}' is no section", write, keys[0])
    lines = _lines_of(text, parent, keys, path)
    for key in reversed(keys[max(lines, 1) :]):
        written = f"{{{as_scalar(key, at)}: {written}}}"
    if lines:
        return insert_lines(text, parent, [as_scalar(k, at) for k in keys[:lines]], written)
    key = as_scalar(keys[0], at)
    if isinstance(parent, t.Scalar) and parent.plain and not parent.text:
        return Splice(parent.at.offset, parent.at.offset, f" {{{key}: {written}}}")
    if isinstance(parent, t.Sequence):
        n = len(parent.items)
        where = ".".join(path)
        write = (
            f"write {where}.1 to {where}.{n}; a new entry is written in the file"
            if n
            else "write the entry in the file"
        )
        refuse(parent.at, f"{where} is a list of {n}, without a '{short(keys[0])}'", write, keys[0])
    if not isinstance(parent, t.Mapping):
        where = ".".join(path) or "the file"
        refuse(parent.at, f"{where} has nothing inside it", f"set {where} itself", ".".join(keys))
    return insert_key(text, parent, key, written)


def _lines_of(text: str, parent: t.Tree, keys: tuple[str, ...], path: tuple[str, ...]) -> int:
    """How many of the new keys stand on lines of their own: a section, what it holds, and the entry; 0 where one line will do."""
    home = _LINES.get((*path, *keys)[0], 0)
    lines = home - len(path)
    empty = isinstance(parent, t.Scalar) and parent.plain and not parent.text
    in_block = isinstance(parent, t.Mapping) and text[parent.at.offset : parent.at.offset + 1] != "{"
    return lines if lines >= (1 if empty else 2) and len(keys) >= lines and (empty or in_block) else 0


def _read_back(new: str, file: str, path: tuple[str, ...], value: str | None, at: Position) -> None:
    """The edited text must say what was asked, else nothing is changed."""
    try:
        found = _at(root_of(new, file), path)
    except FileError as error:
        refuse(at, f"the value would break the file: {error.message}", "write a plain quantity or word")
    if found is None or (value is not None and (not isinstance(found, t.Scalar) or found.text != value)):
        refuse(at, f"'{short(value or '')}' would not read back", "write a plain quantity or word")
