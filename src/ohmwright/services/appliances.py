"""The appliance table of the interview: typical figures, common practice, no source; measure when you can."""

import re
from dataclasses import dataclass
from functools import cache

from ohmwright.working import packaged
from ohmwright.working.tree import Mapping, Scalar, Sequence, read_tree


@dataclass(frozen=True, slots=True)
class Appliance:
    """A line of the table. `power` is what to reckon with: the upper end of what is usual."""

    name: str
    wired: str
    power: str = ""
    span: str = ""
    surge: str = ""
    duty: str = ""
    hours: str = ""
    standby: str = ""
    note: str = ""


@cache
def appliances() -> tuple[Appliance, ...]:
    """The whole table."""
    tree = read_tree(packaged("ohmwright.services", "appliances.yaml").decode("utf-8"), "appliances.yaml")
    rows = tree.get("appliances") if isinstance(tree, Mapping) else None
    assert isinstance(rows, Sequence)
    return tuple(_one(row) for row in rows.items if isinstance(row, Mapping))


def _one(row: Mapping) -> Appliance:
    told = {k: e.value.text for k, e in row.entries.items() if isinstance(e.value, Scalar)}
    span = told.pop("power", "")
    return Appliance(power=span.rpartition("to ")[2], span=span, **told)


def search(words: str) -> tuple[Appliance, ...]:
    """The lines that hold every word that was typed, wherever it stands."""
    wanted = re.findall(r"\w+", words.lower())
    return (
        tuple(a for a in appliances() if all(w in f"{a.name} {a.wired} {a.note}".lower() for w in wanted))
        if wanted
        else ()
    )
