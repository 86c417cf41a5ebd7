"""The shape of where a part stands: one position, or one for each member of a group."""

from typing import Any

from ohmwright.rig.forms import Form
from ohmwright.rig.quantities import Reading
from ohmwright.rig.standing import not_told, read_on_board, read_standing
from ohmwright.rig.telling import refuse, scalar
from ohmwright.working import QuantityError
from ohmwright.working import tree as t

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
_BEHIND = {"stands": r"(?: (?:floor|left|right|turned|sideways))*", "on-board": "(?: turned)?"}
_EXAMPLES = {"stands": "for instance 0.12 0.04 m floor", "on-board": "for instance 0.12 0.04 m"}


class Stands(Form):
    """Two lengths or three with one unit, then words; a map of them by member. Members are looked up by the reader of parts."""

    __slots__ = ("example", "key")

    def __init__(self, meaning: str, key: str) -> None:
        super().__init__(meaning)
        self.key = key
        self.example = _EXAMPLES[key]

    def take(self, tree: t.Tree, reading: Reading) -> t.Tree:  # noqa: ARG002 - one signature for all forms
        """The tree itself, when it reads."""
        read = read_on_board if self.key == "on-board" else read_standing
        for one in [e.value for e in tree.entries.values()] if isinstance(tree, t.Mapping) else [tree]:
            s = scalar(one, self.example)
            text = s.text.strip()
            if not_told(text):
                continue
            try:
                read(text)
            except QuantityError as error:
                refuse(s.at, error.message, error.remedy, s.text)
        return tree

    def schema(self) -> dict[str, Any]:
        """Text with a pattern, or a map of such."""
        pattern = rf"^(?:unknown.*|none|{_NUMBER}(?:(?: x | +){_NUMBER}){{1,2}} (?:m|mm|cm|in|ft){_BEHIND[self.key]})$"
        one = {"type": "string", "pattern": pattern}
        return self.described({"anyOf": [one, {"type": "object", "additionalProperties": one}]})
