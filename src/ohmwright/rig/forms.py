"""Forms that a value of the rig file may take. Each both reads a value and tells its JSON Schema."""

import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NoReturn

from ohmwright.working import (
    DIMENSIONS,
    UNITS,
    Figure,
    FileError,
    Given,
    Position,
    QuantityError,
    Unknown,
    nearest,
    parse,
    parse_by_label,
    parse_lengths,
)
from ohmwright.working import tree as t

Schema = dict[str, Any]

MAX_NAME = 64
MAX_LINE = 2000
_NAME = re.compile(r"[^\W\d_][\w-]*(?:\.[\w-]+)*\Z")
_BARE = frozenset({"yes", "no", "true", "false", "null", "~", "y", "n"})
YES = frozenset({"yes", "true"})
NO = frozenset({"no", "false"})


@dataclass(slots=True)
class Reading:
    """What is gathered while a file is read: origin tags with their places."""

    tags: list[tuple[str, Position]] = field(default_factory=list)


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


def pick(got: Mapping[str, Any], *keys: str) -> dict[str, Any]:
    """The entries of `got` with these keys, in their order."""
    return {k: got[k] for k in keys if k in got}


def addressed(given: Given, address: str) -> Given:
    """The same figure or not-knowing, with its address."""
    if isinstance(given, Figure):
        g = given
        return Figure(g.value, g.unit, g.low, g.high, g.origin, g.condition, g.seconds, address, g.text)
    return Unknown(given.asked, address) if isinstance(given, Unknown) else type(given)(address=address)


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


class Form(ABC):
    """Reads one value and describes it."""

    __slots__ = ("meaning",)

    def __init__(self, meaning: str = "") -> None:
        self.meaning = meaning

    @abstractmethod
    def take(self, tree: t.Tree, reading: Reading) -> Any:
        """The value, or a FileError."""

    @abstractmethod
    def schema(self) -> Schema:
        """JSON Schema of the value."""

    def described(self, schema: Schema) -> Schema:
        """The schema with its meaning."""
        return {**schema, "description": self.meaning} if self.meaning else schema


class Text(Form):
    """Free text of one line. A bare yes or no is refused: it says nothing in a paper."""

    __slots__ = ("example", "long")

    def __init__(self, meaning: str = "", example: str = "a few words", *, long: bool = False) -> None:
        super().__init__(meaning)
        self.example = example
        self.long = long

    def take(self, tree: t.Tree, reading: Reading) -> str:  # noqa: ARG002 - one signature for all forms
        """The text."""
        s = scalar(tree, self.example)
        text = s.text
        if s.plain and text.lower() in _BARE:
            refuse(
                s.at, f"'{text}' stands where a word or a quantity is wanted", f"write {self.example}", text
            )
        if len(text) > MAX_LINE:
            refuse(s.at, f"a text of {len(text)} characters", f"write at most {MAX_LINE}")
        if not self.long and "\n" in text.strip():
            refuse(s.at, "a text of more than one line", "write it in one line")
        return text.strip()

    def schema(self) -> Schema:
        """Any string."""
        return self.described({"type": "string"})


class Word(Form):
    """One of a few words."""

    __slots__ = ("allowed",)

    def __init__(self, meaning: str, *allowed: str) -> None:
        super().__init__(meaning)
        self.allowed = allowed

    def take(self, tree: t.Tree, reading: Reading) -> str:  # noqa: ARG002
        """The word."""
        s = scalar(tree, f"one of: {listed(self.allowed)}")
        text = s.text.strip()
        if text not in self.allowed:
            refuse(
                s.at,
                f"'{short(text)}' is none of: {listed(self.allowed)}",
                suggestion(text, self.allowed, f"write one of: {listed(self.allowed)}"),
                text,
            )
        return text

    def schema(self) -> Schema:
        """An enumeration."""
        return self.described({"enum": list(self.allowed)})


class Flag(Form):
    """yes or no; true and false are understood."""

    __slots__ = ()

    def take(self, tree: t.Tree, reading: Reading) -> str:  # noqa: ARG002
        """`yes` or `no`."""
        s = scalar(tree, "yes or no")
        text = s.text.strip()
        if text in YES:
            return "yes"
        if text in NO:
            return "no"
        refuse(s.at, f"'{short(text)}' is neither yes nor no", "write yes or no", text)

    def schema(self) -> Schema:
        """A boolean as people write it."""
        return self.described({"enum": ["yes", "no", "true", "false", True, False]})


class Amount(Form):
    """A quantity in a unit of one of these dimensions (base units)."""

    __slots__ = ("least", "most", "units", "words")

    def __init__(
        self,
        meaning: str,
        *units: str,
        least: float | None = None,
        most: float | None = None,
        words: tuple[str, ...] = (),
    ) -> None:
        super().__init__(meaning)
        self.units = units
        self.least = least
        self.most = most
        self.words = words

    def take(self, tree: t.Tree, reading: Reading) -> Given:
        """The figure, unknown or none."""
        s = scalar(tree, "a quantity")
        return quantity(s, s.text, self.units, reading, self.least, self.most)

    def schema(self) -> Schema:
        """A string with a pattern, its base unit beside it."""
        return self.described(quantity_schema(*self.units))


def quantity(
    s: t.Scalar,
    text: str,
    units: tuple[str, ...],
    reading: Reading,
    least: float | None = None,
    most: float | None = None,
) -> Given:
    """The figure that `text` says in one of `units`; the mistake is told at `s`."""
    try:
        if len(units) == 1:
            given = parse(text, units[0])
        else:
            given = parse(text)
            if isinstance(given, Figure) and given.unit not in units:
                raise QuantityError(
                    f"'{text}' is in {given.unit}, wanted is {' or '.join(units)}",
                    f"write it in {' or '.join(units)}",
                )
    except QuantityError as error:
        refuse(s.at, _bare_message(text, error.message), error.remedy, text)
    if isinstance(given, Figure):
        note_tag(given, s, reading)
        check_range(given, s, text, least, most)
    return given


def check_range(given: Figure, s: t.Scalar, text: str, least: float | None, most: float | None) -> None:
    """Refuse a figure below `least` or above `most`."""
    if least is not None and given.value < least:
        refuse(s.at, f"'{short(text)}' is less than {least:g}", f"write {least:g} or more", text)
    if most is not None and given.value > most:
        refuse(s.at, f"'{short(text)}' is more than {most:g}", f"write {most:g} or less", text)


def _bare_message(text: str, message: str) -> str:
    if text.strip().lower() in _BARE:
        return f"'{text.strip()}' stands where a quantity is wanted"
    return short(message) if len(message) > 120 else " ".join(message.split())


def note_tag(given: Figure, s: t.Scalar, reading: Reading) -> None:
    """Remember the origin's tag: it must stand in the file's table of sources."""
    if given.origin.tag:
        reading.tags.append((given.origin.tag, s.at))


class Labelled(Form):
    """A quantity, or several by season or mode: `0.49 summer / 0.35 shoulder`; also a map by label."""

    __slots__ = ("least", "most", "one", "units")

    def __init__(
        self, meaning: str, *units: str, least: float | None = None, most: float | None = None
    ) -> None:
        super().__init__(meaning)
        self.one = Amount(meaning, *units, least=least, most=most)
        self.units = units
        self.least = least
        self.most = most

    def take(self, tree: t.Tree, reading: Reading) -> dict[str, Given]:
        """Figures by label; "" holds for all."""
        if isinstance(tree, t.Mapping):
            return {k: self.one.take(e.value, reading) for k, e in tree.entries.items()}
        s = scalar(tree, "a quantity")
        if " / " not in s.text and not s.text.rstrip()[-1:].isalpha():
            return {"": self.one.take(s, reading)}
        try:
            by_label = parse_by_label(s.text, self.units[0] if len(self.units) == 1 else None)
        except QuantityError as error:
            refuse(s.at, _bare_message(s.text, error.message), error.remedy, s.text)
        for given in by_label.values():
            if isinstance(given, Figure):
                note_tag(given, s, reading)
                if given.unit not in self.units:
                    write = f"write it in {' or '.join(self.units)}"
                    refuse(s.at, f"'{short(s.text)}' is in {given.unit}", write, s.text)
                check_range(given, s, s.text, self.least, self.most)
        return by_label

    def schema(self) -> Schema:
        """One quantity, several with labels, or a map of them."""
        one = quantity_schema(*self.units)
        body = quantity_pattern(*self.units)
        with_labels = {
            "type": "string",
            "pattern": rf"^{body}(?: [a-z][a-z-]+)?(?: / {body}(?: [a-z][a-z-]+)?)*$",
        }
        return self.described({"anyOf": [one, with_labels, {"type": "object", "additionalProperties": one}]})


class Lengths(Form):
    """Several lengths with one unit, or unknown."""

    __slots__ = ("count",)

    def __init__(self, meaning: str, count: int) -> None:
        super().__init__(meaning)
        self.count = count

    def take(self, tree: t.Tree, reading: Reading) -> tuple[float, ...] | Given:  # noqa: ARG002
        """Metres, or what kind of not-knowing it is."""
        s = scalar(tree, f"{self.count} lengths")
        if s.text.startswith("unknown") or s.text == "none":
            try:
                return parse(s.text)
            except QuantityError as error:
                refuse(s.at, error.message, error.remedy, s.text)
        try:
            if len(s.text) > 200:
                raise QuantityError(
                    f"a text of {len(s.text)} characters", f"write {self.count} numbers and one unit"
                )
            return parse_lengths(s.text, self.count)
        except QuantityError as error:
            refuse(s.at, error.message, error.remedy, s.text)

    def schema(self) -> Schema:
        """Numbers with one unit."""
        n = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
        return self.described(
            {
                "type": "string",
                "pattern": rf"^(?:unknown.*|none|{n}(?:(?: x | +){n}){{{self.count - 1}}} (?:m|mm|cm|in|ft)(?: \([^()]*\))?)$",
            }
        )


class Count(Form):
    """A whole number."""

    __slots__ = ("least", "most")

    def __init__(self, meaning: str, least: int = 0, most: int = 1000) -> None:
        super().__init__(meaning)
        self.least = least
        self.most = most

    def take(self, tree: t.Tree, reading: Reading) -> int:  # noqa: ARG002
        """The number."""
        s = scalar(tree, "a whole number")
        text = s.text.strip()
        if not re.fullmatch(r"[0-9]{1,9}", text) or not self.least <= int(text) <= self.most:
            refuse(
                s.at,
                f"'{short(text)}' is no whole number from {self.least} to {self.most}",
                f"write a number from {self.least} to {self.most}",
                text,
            )
        return int(text)

    def schema(self) -> Schema:
        """An integer; a text editor may see it as text."""
        return self.described(
            {
                "anyOf": [
                    {"type": "integer", "minimum": self.least, "maximum": self.most},
                    {"type": "string", "pattern": "^[0-9]+$"},
                ]
            }
        )


class Day(Form):
    """A date."""

    __slots__ = ()

    def take(self, tree: t.Tree, reading: Reading) -> date:  # noqa: ARG002
        """The date."""
        s = scalar(tree, "a date")
        text = s.text.strip()
        try:
            if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
                raise ValueError
            return date.fromisoformat(text)
        except ValueError:
            refuse(s.at, f"'{short(text)}' is no date", "write year-month-day, for instance 2026-05-02", text)

    def schema(self) -> Schema:
        """ISO 8601."""
        return self.described({"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"})


class Named(Form):
    """The name or address of something in this file. What it must name is looked up when all is read."""

    __slots__ = ("what",)

    def __init__(self, meaning: str, what: str = "an address") -> None:
        super().__init__(meaning)
        self.what = what

    def take(self, tree: t.Tree, reading: Reading) -> str:  # noqa: ARG002
        """The address as text."""
        s = scalar(tree, self.what)
        text = s.text.strip()
        if len(text) > 3 * MAX_NAME:
            refuse(s.at, f"a name of {len(text)} characters", f"write {self.what}")
        if ":" in text:
            refuse(
                s.at,
                f"a colon stands in '{short(text)}'",
                "write dots between the words of an address, for instance U1.pv.+",
                text,
            )
        return text

    def schema(self) -> Schema:
        """Text without a colon."""
        return self.described({"type": "string", "pattern": "^[^:]+$"})


class Many(Form):
    """A list; a single value may stand alone."""

    __slots__ = ("alone", "of")

    def __init__(self, of: Form, meaning: str = "", *, alone: bool = False) -> None:
        super().__init__(meaning)
        self.of = of
        self.alone = alone

    def take(self, tree: t.Tree, reading: Reading) -> list[Any]:
        """The values."""
        if isinstance(tree, t.Sequence):
            take = self.of.take
            return [take(item, reading) for item in tree.items]
        if self.alone:
            return [self.of.take(tree, reading)]
        refuse(
            tree.at,
            f"{what_is(tree)} stands where a list is wanted",
            "write a list: [a, b], or lines that begin with a hyphen",
        )

    def schema(self) -> Schema:
        """An array, or the item alone."""
        array = {"type": "array", "items": self.of.schema()}
        return self.described({"anyOf": [array, self.of.schema()]} if self.alone else array)


class Each(Form):
    """A map from names to values of one form."""

    __slots__ = ("name", "named", "of")

    def __init__(
        self,
        of: Form,
        meaning: str = "",
        *,
        named: str = "",
        name: Callable[[t.Scalar, str], str] = check_name,
    ) -> None:
        super().__init__(meaning)
        self.of = of
        self.named = named
        self.name = name

    def take(self, tree: t.Tree, reading: Reading) -> dict[str, Any]:
        """The values by name."""
        take, name, named = self.of.take, self.name, self.named
        return {name(e.key, named): take(e.value, reading) for e in mapping(tree).entries.values()}

    def schema(self) -> Schema:
        """An object."""
        return self.described({"type": "object", "additionalProperties": self.of.schema()})


def mapping(tree: t.Tree) -> t.Mapping:
    """The map that stands there, or a refusal."""
    if isinstance(tree, t.Mapping):
        return tree
    refuse(tree.at, f"{what_is(tree)} stands where a map is wanted", "write key: value pairs, or {} for none")


def any_key(key: t.Scalar, what: str) -> str:
    """A key that needs no form of an id."""
    if len(key.text) > 2 * MAX_NAME:
        refuse(key.at, f"a name of {len(key.text)} characters", f"write a shorter name for {what}")
    return key.text


class Keys(Form):
    """A map with known keys. `rest` reads the keys that are not known here; without it they are refused."""

    __slots__ = ("fields", "moved", "needs", "rest", "what")

    def __init__(
        self,
        what: str,
        fields: Mapping[str, Form],
        *,
        needs: tuple[str, ...] = (),
        moved: Mapping[str, str] | None = None,
        rest: Form | None = None,
    ) -> None:
        super().__init__(what)
        self.what = what
        self.fields = dict(fields)
        self.needs = needs
        self.moved = moved or {}
        self.rest = rest

    def take(self, tree: t.Tree, reading: Reading) -> dict[str, Any]:
        """The values by key; what `rest` read is among them."""
        fields = self.fields
        out: dict[str, Any] = {}
        for key, entry in mapping(tree).entries.items():
            form = fields.get(key) or self.rest
            if form is None:
                self.no_such_key(entry.key)
            out[key] = form.take(entry.value, reading)
        for key in self.needs:
            if key not in out:
                refuse(
                    tree.at,
                    f"{self.what} has no '{key}'",
                    f"write {key}: {self.fields[key].meaning or 'its value'}",
                )
        return out

    def no_such_key(self, key: t.Scalar) -> NoReturn:
        """Refuse a key, with the nearest right one."""
        if key.text in self.moved:
            refuse(key.at, f"'{key.text}' is no key of {self.what}", self.moved[key.text], key.text)
        refuse(
            key.at,
            f"'{short(key.text)}' is no key of {self.what}",
            suggestion(key.text, self.fields, f"write one of: {listed(self.fields, 40)}"),
            key.text,
        )

    def schema(self) -> Schema:
        """An object with properties."""
        out: Schema = {"type": "object", "properties": {k: f.schema() for k, f in self.fields.items()}}
        out["additionalProperties"] = self.rest.schema() if self.rest else False
        if self.needs:
            out["required"] = list(self.needs)
        return self.described(out)


class Raw(Form):
    """Whatever stands there, handed on as it is to the reader that knows more."""

    __slots__ = ("described_as",)

    def __init__(self, meaning: str, described_as: Schema | None = None) -> None:
        super().__init__(meaning)
        self.described_as = described_as

    def take(self, tree: t.Tree, reading: Reading) -> t.Tree:  # noqa: ARG002
        """The tree itself."""
        return tree

    def schema(self) -> Schema:
        """As described, else anything."""
        return self.described(self.described_as if self.described_as is not None else {})


class Plain(Form):
    """Any tree as dicts, lists and text."""

    __slots__ = ()

    def take(self, tree: t.Tree, reading: Reading) -> object:
        """Plain Python."""
        if isinstance(tree, t.Scalar):
            return tree.text
        if isinstance(tree, t.Sequence):
            return [self.take(i, reading) for i in tree.items]
        return {k: self.take(e.value, reading) for k, e in tree.entries.items()}

    def schema(self) -> Schema:
        """Anything."""
        return self.described({})


def quantity_pattern(*bases: str) -> str:
    """The pattern of a quantity in any unit of these base units, without anchors."""
    symbols = sorted(
        {u.symbol for u in UNITS.values() if DIMENSIONS[u.dimension].base in bases},
        key=lambda s: (-len(s), s),
    )
    unit = "(?:" + "|".join(re.escape(s).replace("\\ ", " ") for s in symbols) + ")" if symbols else ""
    if "1" in bases or not bases:
        unit = f"{unit}?" if unit else ""
    n = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
    return rf"(?:unknown(?: \(asked \d{{4}}-\d{{2}}-\d{{2}}\))?|none|{n} ?{unit}(?: ?(?:\+-|±) ?{n} ?\S*)?(?: ?@ ?[^()]+?)?(?: for {n} ?(?:ms|s|min|h))?(?: ?\([^()]*\))?)"


def quantity_schema(*bases: str) -> Schema:
    """JSON Schema of a quantity; a plain ratio may be a number."""
    out: Schema = {"type": "string", "pattern": f"^{quantity_pattern(*bases)}$", "unit": " | ".join(bases)}
    return {"anyOf": [{"type": "number"}, out]} if "1" in bases else out
