"""Figures of dangers, worked a second way: what two methods do not agree on is a finding of its own.

Each opinion names the rule, the subject, both values and how far apart they may lie.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from ohmwright.checks.circuits import Bank, banks, coldest, pv_circuits
from ohmwright.checks.cold import cold_voltage
from ohmwright.checks.gather import asked, mass
from ohmwright.checks.judgement import Judgement, fails
from ohmwright.checks.ladder import chain_fault_A, star_fault_A
from ohmwright.checks.masses import added, each
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.diode import diode_at, open_circuit_V
from ohmwright.physics.diode_fit import NotFitted, Printed, fit
from ohmwright.physics.weights import on_coupling_kg, tongue_kg
from ohmwright.rig.model import Part
from ohmwright.standards import find
from ohmwright.study import Study
from ohmwright.working import Figure, known, tell
from ohmwright.working.quickly import quickly_made

#: How far two exact methods may lie apart.
EXACT_ratio = 0.005
#: The linear formula of a cold string against one diode at 1000 W/m2, which bends with temperature: 0.1 to 0.6 % down to
#: -40 degC for the modules of our shelf.
DIODE_ratio = 0.01


@quickly_made
@dataclass(frozen=True, slots=True)
class Opinion:
    """A figure that a danger rests on, by the method that the rule uses and by another."""

    number: str
    subject: str
    unit: str
    first: float
    second: float
    methods: tuple[str, str]
    apart: float = EXACT_ratio

    @property
    def differs(self) -> float:
        """How far apart the two lie, as part of the larger."""
        size = max(abs(self.first), abs(self.second))
        return abs(self.first - self.second) / size if size else 0.0

    @property
    def agrees(self) -> bool:
        """Whether they lie within what is allowed."""
        return self.differs <= self.apart * (1 + 1e-9)


def opinions(study: Study) -> Iterator[Opinion]:
    """Every figure of a danger for which there is a second method."""
    yield from _cold_strings(study)
    yield from _bank_faults(study)
    yield from _fault_sums(study)
    yield from _bare_lengths(study)
    yield from _couplings(study)


def disagreements(study: Study) -> Iterator[tuple[str, str, Judgement]]:
    """Number of the rule, subject, and the judgement, for each opinion that does not agree."""
    for o in opinions(study):
        if not o.agrees:
            told = (
                f"Two methods disagree by {100 * o.differs:.2g} %: {tell(o.first, o.unit, 4)} by {o.methods[0]}, "
                f"{tell(o.second, o.unit, 4)} by {o.methods[1]}"
            )
            yield (
                o.number,
                o.subject,
                fails(
                    f"{told}.",
                    "Rest nothing on this figure: report it to who keeps this program.",
                    severity="fails",
                ),
            )


def _cold_strings(study: Study) -> Iterator[Opinion]:
    """A1: the maker's coefficient against one diode fitted to the printed figures."""
    low, missing = coldest(study)
    if low is None:
        return
    for circuit in pv_circuits(study):
        for string in circuit.strings:
            cold = cold_voltage(string.modules, low, missing)
            if cold.by_coefficient is None:
                continue
            volts = [_diode_V(m, low.value) for m in string.members]
            if all(v is not None for v in volts):
                total = sum(v for v in volts if v is not None)
                yield Opinion("A1", string.id, "V", cold.by_coefficient.value, total, ("the coefficient", "one diode"), DIODE_ratio)  # fmt: skip


def _diode_V(module: Part, cell_degC: float) -> float | None:
    names = ("short_circuit", "open_circuit", "max_power_current", "max_power_voltage")
    figures = [known(module.figure(n)) for n in names]
    if any(f is None for f in figures):
        return None
    isc, voc, imp, vmp = (f.value for f in figures if f is not None)
    beta, percent = known(module.figure("beta_voltage")), known(module.figure("beta"))
    alpha, share = known(module.figure("alpha_current")), known(module.with_default("alpha"))
    if beta is None and percent is None:
        return None
    per_K = beta.value if beta is not None else (percent.value if percent is not None else 0.0) / 100 * voc
    amps_per_K = alpha.value if alpha is not None else (share.value if share is not None else 0.0) / 100 * isc
    return _fitted_V(Printed(isc, voc, imp, vmp, per_K, amps_per_K), cell_degC)


@lru_cache(maxsize=256)
def _fitted_V(printed: Printed, cell_degC: float) -> float | None:
    found = fit(printed)
    return None if isinstance(found, NotFitted) else open_circuit_V(diode_at(found.module, 1000.0, cell_degC))


def _bank_faults(study: Study) -> Iterator[Opinion]:
    """B18: the nodal fault at a bank's take-off against its closed form, for batteries that are alike."""
    for bank in banks(study.rig):
        terminal = _takeoff(bank)
        fault = study.faults.get(terminal)
        own = _closed_A(study, bank)
        if fault is None or own is None:
            continue
        ids = {m.id for m in bank.members}
        nodal = sum(a for source, a in fault.from_A.items() if source in ids)
        yield Opinion(
            "B18", bank.id, "A", nodal, own, ("nodal analysis", "the closed form of its ladder or star")
        )


def _takeoff(bank: Bank) -> str:
    join = bank.group.join
    if join is not None and join.how == "busbars":
        return join.plus
    last = bank.members[-1].id
    return f"{last}.+"


def _closed_A(study: Study, bank: Bank) -> float | None:
    """Star: n E / (R + path). Chain: along its ladder, the fault returning where it is greatest."""
    join = bank.group.join
    if bank.in_series > 1 or len({(m.record.id, _ohm(study, m)) for m in bank.members}) > 1:
        return None
    volts, ohm = _highest_V(study, bank.members[0]), _ohm(study, bank.members[0])
    if volts is None or ohm is None:
        return None
    post = _post_ohm(study, bank)
    if len(bank.members) == 1:
        return volts / ohm
    if join is None:
        return None
    if join.how == "busbars":
        out, back = _one_ohm(study, bank, "lead", "+"), _one_ohm(study, bank, "lead", "-")
        if out is None or back is None or post is None:
            return None
        return star_fault_A(len(bank.members), volts, ohm + post + out, back)
    plus, minus = _one_ohm(study, bank, "link", "+"), _one_ohm(study, bank, "link", "-")
    if plus is None or minus is None or post is None or join.how != "chain":
        return None
    n = len(bank.members)
    return max(chain_fault_A(n, volts, ohm, post, plus, minus, back) for back in range(n))


def _one_ohm(study: Study, bank: Bank, what: str, pole: str) -> float | None:
    """Copper at 20 °C of one link or lead of a pole; None when they differ or one is not known."""
    found: list[float] = []
    for c in study.graph.conductors.values():
        run = study.rig.runs.get(c.run)
        if run is None or run.part_of != bank.id or what not in c.run.rpartition(".")[2] or c.pole != pole:
            continue
        if c.length_m is None or c.area_mm2 is None:
            return None
        found.append(
            c.length_m
            * cable_ohm_per_m(c.area_mm2, c.cable.size, c.cable.system, 20.0, "low", c.cable.material)
        )
    return found[0] if found and max(found) - min(found) < 1e-12 else None


def _post_ohm(study: Study, bank: Bank) -> float | None:
    posts = [c for c in study.graph.conductors.values() if c.run.startswith(f"{bank.id}.post")]
    if not posts:
        return 0.0
    if any(c.length_m is None or c.area_mm2 is None for c in posts):
        return None
    c = posts[0]
    return (c.length_m or 0.0) * cable_ohm_per_m(c.area_mm2 or 1.0, c.cable.size, c.cable.system, 20.0, "low", c.cable.material)  # fmt: skip


def _ohm(study: Study, battery: Part) -> float | None:
    stated, short = (
        asked(battery.figure("resistance")).figure,
        asked(battery.figure("short_circuit_current")).figure,
    )
    volts = _highest_V(study, battery)
    found = [] if stated is None else [find("protection/resistance-adverse").value * stated.low]
    if short is not None and volts is not None:
        found.append(volts / short.high)
    return min(found, default=None)


def _highest_V(study: Study, battery: Part) -> float | None:
    own = asked(battery.figure("charge_voltage")).figure
    nominal = asked(battery.figure("nominal_voltage")).figure
    found = [] if own is None else [own.value]
    for of_part in study.rig.settings.values():
        for key in ("absorption", "equalise"):
            given = of_part.get(key)
            if isinstance(given, Figure) and nominal is not None and 0.8 < given.value / nominal.value < 1.4:
                found.append(given.value)
    return max(found, default=None)


def _fault_sums(study: Study) -> Iterator[Opinion]:
    """B18: what flows into a fault is what its sources give."""
    for terminal, fault in study.faults.items():
        total = sum(fault.from_A.values())
        if fault.max_A is not None and total > 0 and len(fault.from_A) > 1:
            yield Opinion(
                "B18", terminal, "A", fault.max_A, total, ("nodal analysis", "the sum of its sources")
            )


def _bare_lengths(study: Study) -> Iterator[Opinion]:
    """B17: the walk's length against the conductors of its path."""
    seen: set[tuple[str, str | None]] = set()
    for guarding in study.guards.values():
        for g in guarding.guards:
            if g.device is None or g.bare_m is None or not g.path or (g.source, g.device) in seen:
                continue
            seen.add((g.source, g.device))
            lengths = [study.graph.conductors[n].length_m for n in g.path if n in study.graph.conductors]
            if lengths and all(x is not None for x in lengths):
                yield Opinion("B17", g.source, "m", g.bare_m, sum(x for x in lengths if x is not None), ("the walk", "the conductors of its path"))  # fmt: skip


def _couplings(study: Study) -> Iterator[Opinion]:
    """E7: one moment of all masses against the part of each that the coupling carries."""
    before, arm = mass(study.rig, "tongue").figure, mass(study.rig, "axle-to-ball").figure
    if before is None or arm is None or study.rig.host.kind == "van":
        return
    more = added(study)
    first = tongue_kg(before.value, more.moment_kg_m, arm.value)
    second = before.value + sum(
        on_coupling_kg(one.mass_kg, arm.value - one.at[0], arm.value)
        for one in each(study)
        if one.at is not None
    )
    yield Opinion("E7", "host", "kg", first, second, ("one moment", "the part of each mass"))
