"""The typical years of a desk: each run once in the process beside the bench, whichever sheet asks for it."""

from threading import Lock
from typing import TYPE_CHECKING

from ohmwright.services.desk import Desk, Look, typical_at, typical_of_text
from ohmwright.web.aside import Aside

if TYPE_CHECKING:
    from ohmwright.services.almanac import Typical


class Years:
    """Whoever asks for a year that is being run waits for that one."""

    def __init__(self, desk: Desk, aside: Aside) -> None:
        self._desk, self._aside = desk, aside
        self._turn = Lock()

    def now(self, look: Look) -> "Typical | None":
        """The typical year of a rig, run if it is not at hand; None when a change came first."""
        with self._turn:
            kept = self._desk.typical_at_hand(look)
            if kept is not None:
                return kept
            folder = self._desk.folder(look.job)
            made = (
                self._aside.answer(typical_at, f"{folder}@{look.letter}")
                if look.letter
                else self._aside.answer(typical_of_text, folder, look.rig.text)
            )
            return self._desk.keep_typical(look, made) if made is not None else None
