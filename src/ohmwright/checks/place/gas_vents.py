"""E30: vents sit where the gas gathers: at the floor for LP gas, under the top for hydrogen."""

from collections.abc import Iterator
from typing import Literal

from ohmwright.checks.circuits import banks
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.sparks import AIRY
from ohmwright.rig.bay_air import Hole, holes_of
from ohmwright.rig.model import Place
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, figure, tell

Gas = Literal["lp-gas", "hydrogen"]
REMEDY = {
    "lp-gas": "A vent to the outside at the floor, where nothing can close it.",
    "hydrogen": "A vent to the outside at the highest point, and one low on the other side.",
}


def judge(gas: Gas, pocket_m: float | None, *, vents: bool, missing: tuple[str, ...] = ()) -> Judgement:
    """How deep a pocket of gas stays below the lowest vent, or above the highest one."""
    if missing or (vents and pocket_m is None):
        return cannot_tell(f"Where its vents sit is not known: {_where(gas)}.", missing, unit="m", sense="max", remedy=REMEDY[gas])  # fmt: skip
    if not vents or pocket_m is None:
        return fails(f"It has no vent: {_where(gas)}, and stays.", REMEDY[gas])
    pocket = figure(pocket_m, "m", COMPUTED, address=f"{'below' if gas == 'lp-gas' else 'above'} its vents")
    told = f"{_where(gas)}: {tell(pocket_m, 'm')} stay {'below its lowest' if gas == 'lp-gas' else 'above its highest'} vent"
    return most(pocket, find("places/gas-pocket").value, "m", good=f"{told}.", bad=f"{told}, and gas with them.", remedy=REMEDY[gas])  # fmt: skip


def _where(gas: Gas) -> str:
    return "LP gas sinks to the floor" if gas == "lp-gas" else "hydrogen rises to the top"


@rule(
    "place/gas-vents",
    "E30",
    "Vents where the gas gathers",
    why="LP gas is heavier than air and lies in a locker like water. Hydrogen is lighter, and waits under the lid.",
    severities=("danger",),
    clauses={
        "us-boat": Clause(
            "ABYC A-1; ABYC E-10", "2018; 2011", "lockers drain low; battery boxes vent high", "memory"
        ),
        "us": Clause("NFPA 1192", "2021", "LP-gas compartments; batteries", "memory"),
        "eu-boat": Clause("ISO 10239; IEC 62485-2", "2014; 2010", "LPG lockers; openings", "memory"),
        "": Clause("EN 1949; IEC 62485-2", "2021; 2010", "ventilation at floor level; openings", "memory"),
    },
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each closed place with LP gas by the file, with hydrogen, or with a lead-acid bank."""
    gassy: dict[str, Gas] = {}
    for place in study.rig.host.places.values():
        vapour = place.words.get("vapour", "")
        if vapour in ("lp-gas", "hydrogen"):
            gassy[place.id] = "lp-gas" if vapour == "lp-gas" else "hydrogen"
    for bank in banks(study.rig):
        where = bank.group.place or bank.members[0].place
        if bank.chemistry != "lfp" and where in study.rig.host.places:
            gassy.setdefault(where, "hydrogen")
    spoke = False
    for name, gas in sorted(gassy.items()):
        place = study.rig.host.places[name]
        if place.regime not in AIRY:
            spoke = True
            yield f"host.{name}", _one(place, gas)
    if not spoke:
        yield "rig", skipped("No closed place holds LP gas, hydrogen or a lead-acid bank.")


def _one(place: Place, gas: Gas) -> Judgement:
    holes = holes_of(place)
    at = f"host.places.{place.id}"
    if holes is None:
        return judge(gas, None, vents=True, missing=(f"{at}.vents",))
    if not holes:
        return judge(gas, None, vents=False)
    told = [h for h in holes if h.at is not None]
    if not told:
        key = "vents" if place.vents else f"vent-{'low' if gas == 'lp-gas' else 'high'}"
        return judge(gas, None, vents=True, missing=(f"{at}.{key}",))
    if gas == "lp-gas":
        return judge(gas, max(0.0, min(_middle(h) - h.high_m / 2.0 for h in told)), vents=True)
    if place.size is None:
        return judge(gas, None, vents=True, missing=(f"{at}.size",))
    return judge(gas, max(0.0, place.size[2] - max(_middle(h) + h.high_m / 2.0 for h in told)), vents=True)


def _middle(hole: Hole) -> float:
    return hole.at[1] if hole.at is not None else 0.0
