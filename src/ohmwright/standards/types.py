"""A published figure: value, unit, edition, clause, and who has seen the page."""

from dataclasses import dataclass
from typing import Literal

from ohmwright.working.quickly import quickly_made

Seen = Literal["official", "secondary", "memory", "computed"]


@quickly_made
@dataclass(frozen=True, slots=True)
class Clause:
    """Where a rule or figure stands. `standard` "" is common practice without a source."""

    standard: str
    edition: str = ""
    clause: str = ""
    seen: Seen = "memory"
    note: str = ""

    def __str__(self) -> str:
        return (
            " ".join(w for w in (self.standard, self.edition and f"({self.edition})", self.clause) if w)
            or "common practice, no source"
        )


COMMON_PRACTICE = Clause("", "", "common practice, no source", "memory")
SHOP_RULE = Clause("", "", "shop rule, no published source", "memory")
PHYSICS = Clause("", "", "physics", "computed")
