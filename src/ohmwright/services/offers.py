"""What the shelf offers while a rig is built: parts by words and figures, and devices for a run."""

import re
from dataclasses import dataclass

from ohmwright.checks.carrying import Wire, carries
from ohmwright.rig.model import Run
from ohmwright.services.desk import Look
from ohmwright.shelf.record import Record, Shelf
from ohmwright.working import Figure, known, tell

MOST_FOUND = 40
#: The rule set whose tables are taken where a job names none.
RULES = "eu-vehicle"
#: What a part of a kind is chosen by.
FIRST = {
    "battery": ("capacity", "discharge_max", "charge_max"),
    "module": ("power", "open_circuit", "short_circuit"),
    "pv-controller": ("max_pv_voltage", "max_pv_short_circuit", "output_current"),
    "inverter": ("power", "dc_nominal", "ac_voltage"),
    "inverter-charger": ("power", "dc_nominal", "charge_current"),
    "dcdc-charger": ("output_current", "output_voltage"),
    "panel-dc": ("rated", "voltage"),
}
_BY_THE_METRE = ("cable", "lug", "mounting")


@dataclass(frozen=True, slots=True)
class Offered:
    """A part of the shelf in one line: its first figures and its price."""

    id: str
    title: str
    kind: str
    figures: str
    price: str


def offered(shelf: Shelf, words: str, kind: str, currency: str) -> tuple[tuple[Offered, ...], int]:
    """The first parts that hold every word, whole or at its beginning, wherever it stands; and how many there are."""
    wanted = [holds(w) for w in re.findall(r"[\w.+/-]+", words)]
    found: list[Offered] = []
    count = 0
    for name in shelf:
        record = shelf.find(name)
        if record is None or record.bare or record.kind.name in _BY_THE_METRE:
            continue
        if kind and record.kind.name != kind:
            continue
        told = f"{record.id} {record.id.replace('-', ' ')} {record.title} {record.kind.title}"
        if not all(w.search(told) for w in wanted):
            continue
        count += 1
        if len(found) < MOST_FOUND:
            price = record.price_in(currency) or record.price
            found.append(
                Offered(
                    record.id,
                    record.title or record.id,
                    record.kind.title,
                    _first_figures(record),
                    f"{price.amount} {price.currency}" if price else "",
                )
            )
    return tuple(found), count


def holds(word: str) -> re.Pattern[str]:
    """A word at its beginning; a figure whole, so that 30 is not 300."""
    behind = r"(?![\d.])" if word[-1].isdigit() else ""
    return re.compile(rf"(?<![\w.]){re.escape(word)}{behind}", re.IGNORECASE)


def _first_figures(record: Record) -> str:
    told = []
    for name in FIRST.get(record.kind.name, tuple(record.kind.figures)):
        given = record.figures.get(name)
        if isinstance(given, Figure):
            told.append(f"{name.replace('_', ' ')} {tell(given.value, given.unit, 3)}")
        if len(told) == 3:
            break
    return ", ".join(told)


def kinds_offered(shelf: Shelf) -> tuple[tuple[str, str], ...]:
    """The kinds of which the shelf has a part, by title."""
    names = {r.kind.name: r.kind.title for i in shelf if (r := shelf.find(i)) is not None and not r.bare}
    return tuple(
        sorted(
            ((k, t) for k, t in names.items() if k not in _BY_THE_METRE),
            key=lambda x: x[1].lower(),
        )
    )


@dataclass(frozen=True, slots=True)
class DeviceFor:
    """A device that could be set into a run; `fits` says that the cable is protected by it."""

    id: str
    title: str
    kind: str
    fits: bool


def devices_for(look: Look, run: Run) -> tuple[DeviceFor, ...]:
    """Devices of the shelf for a conductor: those that protect its cable first, the largest rating foremost."""
    ceiling = _ceiling_A(look, run)
    alternating = any(c.pole in ("L", "L1", "L2", "N") for c in run.cores)
    kinds = (
        ("pv-disconnect", "fuse", "breaker") if run.cable.use == "pv" else ("fuse", "breaker", "rcbo", "rcd")
    )
    found = []
    for name in look.opened.shelf:
        record = look.opened.shelf.find(name)
        if record is None or record.bare or not record.kind.series:
            continue
        if (record.words.get("current", "dc") == "ac") != alternating:
            continue
        rated = known(record.figures["rated"]) if "rated" in record.figures else None
        guards = record.kind.name in ("fuse", "breaker", "pv-disconnect", "rcbo")
        fits = guards and rated is not None and ceiling is not None and rated.value <= ceiling * (1 + 1e-9)
        kind = record.kind.name
        order = kinds.index(kind) if kind in kinds else len(kinds)
        size = rated.value if rated is not None else 0.0
        rank = (not fits, order, record.kind.title, -size if fits else size)
        found.append((rank, DeviceFor(record.id, record.title or record.id, record.kind.title, fits)))
    return tuple(d for _, d in sorted(found, key=lambda x: (x[0], x[1].id)))


def _ceiling_A(look: Look, run: Run) -> float | None:
    if run.cable.area_mm2 is None:
        return None
    wire = Wire(
        run.cable.area_mm2, run.cable.insulation_degC, run.cable.material, sold_for_pv=run.cable.use == "pv"
    )
    carried = carries(wire, look.rig.job.rules or RULES, "least")
    return carried.ceiling.value if carried is not None else None
