"""Forms that a value of the rig file may take. Each both reads a value and tells its JSON Schema."""

import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, NoReturn

from ohmwright.rig.quantities import (
    Reading,
    Schema,
    bare_message,
    check_range,
    note_tag,
    quantity,
    quantity_pattern,
    quantity_schema,
)
from ohmwright.rig.telling import (
    BARE,
    MAX_LINE,
    MAX_NAME,
    NO,
    YES,
    check_name,
    listed,
    mapping,
    refuse,
    scalar,
    short,
    suggestion,
    what_is,
)
from ohmwright.working import Figure, Given, QuantityError, parse, parse_by_label, parse_lengths
from ohmwright.working import tree as t


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
        if s.plain and text.lower() in BARE:
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
        if text not in YES | NO:
            refuse(s.at, f"'{short(text)}' is neither yes nor no", "write yes or no", text)
        return "yes" if text in YES else "no"

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
            refuse(s.at, bare_message(s.text, error.message), error.remedy, s.text)
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
        if not self.alone:
            write = "write a list: [a, b], or lines that begin with a hyphen"
            refuse(tree.at, f"{what_is(tree)} stands where a list is wanted", write)
        return [self.of.take(tree, reading)]

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


class Either(Form):
    """A value of one form, or a map of another."""

    __slots__ = ("map", "one")

    def __init__(self, one: Form, map_: Each | Keys) -> None:
        super().__init__(one.meaning)
        self.one = one
        self.map = map_

    def take(self, tree: t.Tree, reading: Reading) -> Any:
        """What the one or the other reads."""
        return (self.map if isinstance(tree, t.Mapping) else self.one).take(tree, reading)

    def schema(self) -> Schema:
        """The one or the other."""
        return self.described({"anyOf": [self.one.schema(), self.map.schema()]})


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
