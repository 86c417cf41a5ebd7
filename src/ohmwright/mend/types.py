"""What mend proposes, and what it leaves to people."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, Protocol

from ohmwright.checks.types import Finding

Sort = Literal[
    "device", "part", "cable", "new device", "new run", "moved end", "taken out", "length", "setting"
]


class Edit(Protocol):
    """One change of a rig's text."""

    def apply(self, text: str, file: str) -> str:
        """The text with the change done; a FileError where it does not fit."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing to do: where, from what, to what, and the edits of the file that say it.

    `price` is what it adds to the parts list in the job's currency, None where the shelf has no price.  `touches`
    names the parts that carry another current or are new; `heirs` maps the id of a piece that was split off to
    the run it came from.  `by_hand` is what the file cannot say and a hand has to do.
    """

    sort: Sort
    address: str
    was: str
    becomes: str
    edits: tuple[Edit, ...]
    price: Decimal | None = Decimal(0)
    lines: int = 1
    touches: tuple[str, ...] = ()
    heirs: tuple[tuple[str, str], ...] = ()
    by_hand: str = ""
    strongest: bool = False
    """A new device that nothing on the shelf breaks more than: taken where the fault is not known."""
    licensed: bool = False
    """Its work by hand is on the mains, and wants a licence."""


@dataclass(frozen=True, slots=True)
class Step:
    """Changes that belong together: one answer to a finding."""

    changes: tuple[Change, ...]

    @property
    def price(self) -> Decimal | None:
        """What it adds to the parts list by itself; None where one of its prices is not known."""
        known = [c.price for c in self.changes]
        return None if None in known else sum((p for p in known if p is not None), Decimal(0))


@dataclass(frozen=True, slots=True)
class Ladder:
    """Answers to one finding, the smallest first. `rising`: when one clears it, every later one does too.

    `preferred`: the first that holds is taken, and no other way is looked for.  `alike`: the rungs have the same
    wires, so that what one says of them holds for all.
    """

    rungs: tuple[Step, ...]
    rising: bool = False
    preferred: bool = False
    alike: bool = False


@dataclass(frozen=True, slots=True)
class Proposed:
    """A change with the finding it answers, and where on the rig it is done."""

    change: Change
    why: Finding
    where: str = ""


@dataclass(frozen=True, slots=True)
class Hand:
    """Something that only a person can settle: look, measure, decide, or work that needs a licence."""

    what: Literal["look", "measure", "decide", "licensed", "do"]
    subject: str
    told: str
    rules: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Mended:
    """The outcome: the new text, what changed and why, what is cleared, what remains."""

    text: str
    changes: tuple[Proposed, ...]
    before: tuple[Finding, ...]
    after: tuple[Finding, ...]
    cleared: tuple[Finding, ...]
    remaining: tuple[Finding, ...]
    hands: tuple[Hand, ...]
    currency: str
    tried: int = 0

    @property
    def price(self) -> Decimal:
        """The sum of the known prices."""
        return sum((p.change.price for p in self.changes if p.change.price is not None), Decimal(0))

    @property
    def unpriced(self) -> int:
        """Changes whose price is not known."""
        return sum(p.change.price is None for p in self.changes)
