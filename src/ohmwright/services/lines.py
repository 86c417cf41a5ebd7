"""In which line of the rig file a figure stands."""

from functools import cached_property

from ohmwright.rig.edit import path_of
from ohmwright.rig.model import Rig
from ohmwright.working import OhmwrightError, Position
from ohmwright.working.tree import Mapping, Scalar, Sequence, Tree, read_tree


class Lines:
    """The lines of one rig's file; the text is read when the first address is asked for."""

    def __init__(self, rig: Rig) -> None:
        self._rig = rig
        self._known: dict[str, int | None] = {}

    @cached_property
    def _tree(self) -> Tree | None:
        try:
            return read_tree(self._rig.text, self._rig.file)
        except OhmwrightError:
            return None

    def of(self, address: str) -> int | None:
        """The line of a figure; None where it stands on the shelf, or is worked out."""
        if address not in self._known:
            self._known[address] = self._found(address)
        return self._known[address]

    def _found(self, address: str) -> int | None:
        if "." not in address or "/" in address or " " in address or not isinstance(self._tree, Mapping):
            return None
        try:
            path = path_of(self._tree, address, Position(self._rig.file, 1, 1))
        except OhmwrightError:
            return None
        here: Tree = self._tree
        for word in path:
            if isinstance(here, Mapping) and word in here:
                here = here.entries[word].value
            elif isinstance(here, Sequence) and word.isdecimal() and 0 < int(word) <= len(here.items):
                here = here.items[int(word) - 1]
            else:
                break
        return here.at.line if isinstance(here, Scalar) else None
