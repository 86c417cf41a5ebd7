"""A pair of hands on pointer and keyboard that counts what it does, and how long that takes a person."""

from dataclasses import dataclass, field

from playwright.sync_api import Locator, Page

# Card, Moran and Newell, "The keystroke-level model for user performance time with interactive systems", Communications of
# the ACM 23 (7), 1980: seconds for a key by an average typist, pointing, moving a hand, making up one's mind. From memory.
KEY_S, POINT_S, HOME_S, MIND_S = 0.28, 1.1, 0.4, 1.35


@dataclass(slots=True)
class Hands:
    """Does what a person would do, and keeps count."""

    page: Page
    presses: int = 0
    keys: int = 0
    choices: int = 0
    log: list[str] = field(default_factory=list)

    def press(self, what: Locator) -> None:
        """Point and press."""
        self.presses += 1
        what.click()

    def type(self, where: Locator, text: str, end: str = "") -> None:
        """Point at a field and type; `end` is one more key."""
        self.press(where)
        where.press("Control+a")
        self.page.keyboard.type(text)
        self.keys += len(text) + 1
        if end:
            self.page.keyboard.press(end)
            self.keys += 1

    def choose(self, where: Locator, value: str) -> None:
        """Open a list, and choose in it."""
        self.choices += 1
        where.select_option(value)

    def step(self, name: str) -> None:
        """Remember how far the work has come."""
        self.log.append(
            f"{name}: {self.presses} presses, {self.keys} keys, {self.choices} choices, {self.seconds:.0f} s"
        )

    @property
    def seconds(self) -> float:
        """What a person needs for it, with a thought before every press and every choice."""
        acts = self.presses + 2 * self.choices
        return acts * (MIND_S + POINT_S + HOME_S) + self.keys * KEY_S
