"""What a load that starts hard asks for its seconds: of its inverter, of the volts, of the worst battery, of every fuse."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ohmwright.circuit.cascade import limit_of
from ohmwright.circuit.cases import SURGE_s, start_V
from ohmwright.circuit.solve import solve
from ohmwright.circuit.types import Solution
from ohmwright.circuit.wiring import Wiring, wiring_of
from ohmwright.physics.fault import melts_s
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Load, Part, Rig
from ohmwright.working import Figure, known

#: Less than this does not run through a device.
CARRIED_A = 0.01


@dataclass(frozen=True, slots=True)
class Through:
    """An overcurrent device in a start: its current, and the least time in which it can melt; None without its integral."""

    current_A: float
    melts_s: float | None


@dataclass(frozen=True, slots=True)
class Start:
    """One start.

    `asked_VA` at the load, `inverter_VA` what its inverter must give with it, `given_VA` what its page gives for so
    long.  `dc_V` is left at the inverter (or at the load, on DC), `dip_V` what the start took from it.  `battery`
    carries the most, `battery_A`, and may carry `battery_limit_A` for so long.
    """

    load: str
    asked_VA: float | None
    seconds: float
    inverter: str = ""
    inverter_VA: float | None = None
    given_VA: float | None = None
    stands: bool = True
    dc_V: float | None = None
    dip_V: float | None = None
    battery: str = ""
    battery_A: float | None = None
    battery_limit_A: float | None = None
    devices: Mapping[str, Through] = field(default_factory=dict)
    missing: tuple[str, ...] = ()


def starts_of(rig: Rig, graph: Graph, solutions: Mapping[str, Solution]) -> Mapping[str, Start]:
    """Every load with a start, by its id."""
    wiring = wiring_of(rig, graph)
    out: dict[str, Start] = {}
    for load in rig.use.loads.values():
        figure = known(load.surge)
        if figure is not None:
            out[load.id] = _start(wiring, graph, load, figure, solutions)
    return out


def _start(
    wiring: Wiring, graph: Graph, load: Load, figure: Figure, solutions: Mapping[str, Solution]
) -> Start:
    seconds = figure.seconds or SURGE_s
    volts = start_V(wiring, load) if figure.unit == "A" else 1.0
    if volts is None:
        return Start(load.id, None, seconds, missing=(f"use.loads.{load.id}.volts",))
    name = f"{load.id}-starts"
    asked = figure.value * volts
    if name not in solutions:
        return Start(load.id, asked, seconds, missing=(f"use.loads.{load.id}.fed",))
    answer = solutions[name]
    rest = solve(wiring.rig, graph, replace(answer.case, loads_W={}, stalled_ohm={}))
    missing: list[str] = []
    unit = _inverter(wiring, load)
    given = _given(unit, seconds) if unit is not None else None
    if unit is not None and given is None:
        missing.append(f"{unit.id}.surge")
    pair = (f"{unit.id}.dc.+", f"{unit.id}.dc.-") if unit is not None else _terminals(wiring, load)
    left, before = _across(answer, pair), _across(rest, pair)
    worst = min(answer.batteries.items(), key=lambda b: b[1].current_A, default=None)
    limit = None
    if worst is not None:
        limit = limit_of(wiring.rig.parts[worst[0]], seconds, charging=False)
        if limit is None:
            missing.append(f"{worst[0]}.discharge_peak")
    return Start(
        load.id, asked, seconds, unit.id if unit is not None else "", asked if unit is not None else None, given, answer.converged,
        left, before - left if left is not None and before is not None else None,
        worst[0] if worst is not None else "", -worst[1].current_A if worst is not None else None, limit.value if limit else None,
        _devices(wiring, answer, missing), tuple(missing),
    )  # fmt: skip


def _inverter(wiring: Wiring, load: Load) -> Part | None:
    """The inverter that a load on alternating current hangs on: the only one, as long as there is only one."""
    number, ac = wiring.net.number, wiring.poles.ac
    if not any(e.owner == load.id and number[e.a] in ac for e in wiring.net.loads):
        return None
    units = wiring.rig.of_kind("inverter", "inverter-charger")
    return units[0] if len(units) == 1 else None


def _given(part: Part, seconds: float) -> float | None:
    """The power that a page gives for at least so long: a surge that lasts, else its continuous power."""
    lasting = [
        f.value
        for n in ("surge", "surge_2")
        if (f := known(part.figure(n))) is not None and (f.seconds or 0.0) >= seconds * (1 - 1e-9)
    ]
    power = known(part.figure("power"))
    return max([*lasting, *([power.value] if power is not None else [])], default=None)


def _terminals(wiring: Wiring, load: Load) -> tuple[str, str]:
    return next(((e.a, e.b) for e in wiring.net.loads if e.owner == load.id), ("", ""))


def _across(answer: Solution, pair: tuple[str, str]) -> float | None:
    a, b = answer.nodes.get(pair[0]), answer.nodes.get(pair[1])
    return abs(a.volts - b.volts) if a is not None and b is not None else None


def _devices(wiring: Wiring, answer: Solution, missing: list[str]) -> dict[str, Through]:
    """Every device that the start runs through above its rating; below it nothing melts."""
    out: dict[str, Through] = {}
    for name, device in wiring.device_at.items():
        amps = answer.elements_A.get(name, 0.0)
        if abs(amps) < CARRIED_A or abs(amps) <= out.get(device.id, Through(0.0, None)).current_A:
            continue
        part = wiring.rig.parts[device.part]
        integral = known(part.figure("melting")) if "melting" in part.kind.figures else None
        out[device.id] = Through(abs(amps), melts_s(integral.low, abs(amps)) if integral else None)
        if (
            integral is None
            and part.kind.name == "fuse"
            and device.rated_A is not None
            and abs(amps) > device.rated_A
        ):
            missing.append(f"{part.id}.melting")
    return out
