"""A9: on the hottest noon the string still has the volts to charge the battery."""

from collections.abc import Iterator

from ohmwright.checks.circuits import PvCircuit, PvString, bank_of, hottest, pv_circuits, strings_behind
from ohmwright.checks.gather import Asked, asked, setting
from ohmwright.checks.judgement import Judgement, at_least, cannot_tell, least, skipped
from ohmwright.checks.registry import rule
from ohmwright.checks.walk import reach
from ohmwright.physics.copper import cable_ohm_per_m
from ohmwright.physics.drop import sagged_V
from ohmwright.physics.strings import hot_string_V
from ohmwright.physics.sums import sum_degC, sum_V
from ohmwright.rig.model import Part
from ohmwright.standards import PHYSICS, find
from ohmwright.study import Study
from ohmwright.working import COMPUTED, Figure, Step, figure, known, tell, work

REMEDY = "Put more modules in series, or shorten or thicken the cable."


def judge(volts: Step, wanted: Step) -> Judgement:
    """Hot power-point volts behind the cable against charging volts and what the controller needs above them."""
    told = f"On the hottest noon the string gives {tell(volts.value, 'V', 4)} at the controller, which needs {tell(wanted.value, 'V', 4)}"
    return least(
        volts.value,
        wanted,
        "V",
        good=f"{told}.",
        bad=f"{told}: it does not finish a charge.",
        remedy=REMEDY,
        steps=(wanted, volts),
    )


@rule(
    "array/hot-voltage",
    "A9",
    "Hot power-point voltage reaches the battery",
    why="""Heat takes a quarter of a string's volts. A string that just reaches the battery in May falls short in July, at the
        end of charging, when nobody looks.""",
    severities=("fails",),
    clauses={"": PHYSICS},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Each string at a controller that seeks the power point."""
    air, missing = hottest(study)
    for circuit in pv_circuits(study):
        controller = circuit.controller
        if controller is None or controller.kind.name != "pv-controller":
            yield circuit.name, skipped("Its controller only switches: rule A11 is about that.")
            continue
        charge = charging_volts(study, controller.id)
        for string in circuit.strings:
            lost = [*_lacks(string), *charge.missing, *(missing if air is None else ())]
            if lost or charge.figure is None or air is None:
                yield string.id, cannot_tell("The hot voltage cannot be told.", lost, unit="V", sense="min")
                continue
            hot = _hot(string, hot_cell(study, circuit, air))
            ohm = loop_ohm(study, circuit, string)
            if ohm is None:
                yield (
                    string.id,
                    cannot_tell(
                        "The resistance of its cable cannot be told.",
                        cable_asks(study, circuit),
                        unit="V",
                        sense="min",
                    ),
                )
                continue
            loop = figure(ohm, "ohm", COMPUTED, address=f"cable of {string.id} out and back at 75 °C")
            at_controller = work(sagged_V, open_V=hot, current_A=_current(string), loop_ohm=loop)
            margin = known(controller.figure("run_margin")) or find("pv/run-headroom").figure
            yield string.id, judge(at_controller, work(sum_V, first_V=charge.figure, second_V=margin))


def hot_cell(study: Study, circuit: PvCircuit, air: Figure) -> Step:
    """The cells of a circuit on the hottest noon: hotter where no air passes behind them (rule A20)."""
    array = study.rig.parts.get(circuit.name)
    gap = asked(array.figure("gap")).figure if array is not None else None
    bonded = gap is not None and not at_least(1000 * gap.value, find("pv/gap-least").value)
    return work(
        sum_degC, air_degC=air, rise_K=find("pv/bonded-rise" if bonded else "pv/flat-roof-rise").figure
    )


def _alike(string: PvString) -> list[list[Part]]:
    """The modules of a string by record, so that three of a kind print as 3 x one."""
    groups: dict[str, list[Part]] = {}
    for m in string.members:
        groups.setdefault(m.record.id, []).append(m)
    return list(groups.values())


def _lacks(string: PvString) -> list[str]:
    names = ("max_power_voltage", "max_power_current")
    asks = [asked(same[0].figure(n)) for same in _alike(string) for n in names]
    return [m for a in asks if a.figure is None for m in a.missing]


def _hot(string: PvString, cell: Step) -> Step:
    """Power-point volts of the whole string with its cells at that temperature."""
    total: Step | None = None
    for same in _alike(string):
        volts, gamma = asked(same[0].figure("max_power_voltage")).figure, known(same[0].with_default("gamma"))
        assert volts is not None
        assert gamma is not None
        own = work(
            hot_string_V, in_series_count=float(len(same)), power_point_V=volts, coefficient_percent_per_K=gamma,
            hottest_degC=cell,
        )  # fmt: skip
        total = own if total is None else work(sum_V, first_V=total, second_V=own)
    assert total is not None
    return total


def _current(string: PvString) -> Figure:
    """The most that its modules give at their power points."""
    found = [
        f for same in _alike(string) if (f := asked(same[0].figure("max_power_current")).figure) is not None
    ]
    return max(found, key=lambda f: f.value)


def charging_volts(study: Study, controller: str) -> Asked:
    """The absorption set on a charger, else that of the battery it charges."""
    as_set = setting(study.rig, controller, "absorption", "V")
    if as_set.figure is not None:
        return as_set
    out = reach(study.graph, (f"{controller}.bat.+",))
    for name in sorted({study.graph.terminals[t].owner for t in out.terminals}):
        if (bank := bank_of(study.rig, name)) is not None:
            one = asked(bank.members[0].figure("charge_voltage"))
            return (
                Asked(
                    Figure(
                        one.figure.value * bank.in_series,
                        "V",
                        one.figure.low * bank.in_series,
                        one.figure.high * bank.in_series,
                        one.figure.origin,
                        address=one.figure.address,
                    )
                )
                if one.figure
                else one
            )
    return as_set


def loop_ohm(study: Study, circuit: PvCircuit, string: PvString) -> float | None:
    """Resistance of all conductors that a string's current runs through, at 75 °C; shared ones count once a string."""
    total = 0.0
    for name in circuit.conductors:
        c = study.graph.conductors[name]
        behind = strings_behind(study, circuit, name)
        if c.role in ("bond", "earth") or string.id not in behind:
            continue
        if c.length_m is None or c.area_mm2 is None:
            return None
        total += (
            len(behind)
            * c.length_m
            * cable_ohm_per_m(c.area_mm2, c.cable.size, c.cable.system, 75.0, "high", c.cable.material)
        )
    return total


def cable_asks(study: Study, circuit: PvCircuit) -> tuple[str, ...]:
    """Where to write what the resistance of an array's cable wants."""
    found = [study.graph.conductors[n] for n in circuit.conductors]
    return tuple(
        dict.fromkeys(
            f"{c.run}.{'length' if c.length_m is None else 'cable'}"
            for c in found
            if c.length_m is None or c.area_mm2 is None
        )
    )
