"""Published figures, each once: value, unit, edition, clause, who has seen the page."""

from ohmwright.standards.published import Published, Table, UnknownPageError, all_figures, find, table
from ohmwright.standards.types import COMMON_PRACTICE, PHYSICS, SHOP_RULE, Clause, Seen

__all__ = [
    "COMMON_PRACTICE",
    "PHYSICS",
    "SHOP_RULE",
    "Clause",
    "Published",
    "Seen",
    "Table",
    "UnknownPageError",
    "all_figures",
    "find",
    "table",
]
