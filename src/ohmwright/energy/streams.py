"""What hydrogenerators and wind generators put on the bus in a stay: by the tables of their pages."""

import math
from collections import deque
from itertools import pairwise

from ohmwright.energy.figures import number
from ohmwright.energy.loads import Notes
from ohmwright.energy.plan import Bank
from ohmwright.energy.topology import THROUGH, Wiring, top
from ohmwright.kinds.specs import SPEED_POINTS
from ohmwright.physics.converter import stream_power_W
from ohmwright.physics.stream import clipped, mean_power_W, power_at_W
from ohmwright.rig.model import Part, Stay
from ohmwright.working import Figure, Unknown

CONTROLLER, CLASS_CONTROLLER_ratio = "hydro-controller", 0.92


def hydro_W(wiring: Wiring, stay: Stay, name: str, bank: Bank, notes: Notes) -> float:
    """What all hydrogenerators put on the bus while the boat is under way."""
    total_W = 0.0
    for part in wiring.rig.of_kind("hydrogenerator"):
        given_W = _under_way_W(part, stay, name, notes)
        ratio, most_W = _controller(wiring, part, given_W, bank, notes)
        total_W += min(given_W, most_W) * ratio
    return total_W


def wind_W(wiring: Wiring, stay: Stay, name: str, bank: Bank, notes: Notes) -> float:
    """What all wind generators put on the bus in the mean of the stay's hours."""
    wind = stay.figures.get("wind")
    total_W = 0.0
    for part in wiring.rig.of_kind("wind-generator"):
        table = _table(part, notes)
        if table is None:
            notes.lack(
                f"{part.id} is not counted: the power of its page by wind speed is not told; write power-at-speed: 0 W @ 3 m/s, power-at-speed-2: 20 W @ 5 m/s and so on"
            )
        elif not isinstance(wind, Figure):
            notes.lack(
                f"{name}: the wind is not given, so {part.id} is not counted; write wind: 5 m/s, the mean of the stay at its height"
            )
        else:
            ratio, most_W = _controller(wiring, part, max(w for _, w in table), bank, notes)
            mean_W = mean_power_W(clipped(table, most_W), wind.value, _cut_out_m_per_s(part))
            total_W += mean_W * ratio
            notes.assume(
                f"{name}: {part.id} gives {mean_W:.0f} W in every hour, the mean of its table over winds of {wind.value:.3g} m/s on average (Rayleigh's distribution); calms and gales are not followed, so a bank that runs low in a calm is not seen, the boat's own way adds no wind, and nights away are counted without it"
            )
    return total_W


def _under_way_W(part: Part, stay: Stay, name: str, notes: Notes) -> float:
    """A hydrogenerator by its table; without one by the cube of the speed, without a speed by its page."""
    power, speed = part.figure("power"), stay.figures.get("speed")
    table = _table(part, notes)
    if table is not None and isinstance(speed, Figure):
        return power_at_W(table, speed.value, _cut_out_m_per_s(part))
    if not isinstance(power, Figure):
        wanted = "speed: 5 kn in the stay" if table is not None else "power: 80 W @ 6 kn, or its table"
        notes.lack(f"{name}: {part.id} is not counted; write {wanted}")
        return 0.0
    printed = power.condition_value("m/s")
    if isinstance(speed, Figure) and printed:
        notes.assume(
            f"{part.id}: from {power.value:g} W {power.condition} by the cube of the speed; write power-at-speed: 80 W @ 6 kn, power-at-speed-2 and so on, to go by the table of its page"
        )
        most_W = number(part, "power_max", notes) or power.value
        return stream_power_W(power.value, printed, speed.value, most_W)
    by = "its table" if table is not None else "the cube of the speed"
    notes.assume(
        f"{part.id}: {power.value:g} W under way, {power.condition or 'its page tells no speed'}; write speed: 5 kn in the stay, and the speed of its page, to go by {by}"
    )
    return power.value


def _table(part: Part, notes: Notes) -> tuple[tuple[float, float], ...] | None:
    """The points of a turbine's table by rising speed; None where there is none that can be read."""
    points = []
    for name in SPEED_POINTS:
        given = part.figure(name)
        if isinstance(given, Unknown):
            notes.assume(f"{part.id}: {name.replace('_', '-')} is not known: straight between its neighbours")
        elif isinstance(given, Figure):
            speed = given.condition_value("m/s")
            if speed is None:
                notes.lack(f"{part.id}: {name.replace('_', '-')} tells no speed; write 60 W @ 5 m/s")
                return None
            points.append((speed, given.value))
    points.sort()
    twice = next((a for (a, _), (b, _) in pairwise(points) if a == b), None)
    if twice is not None:
        notes.lack(f"{part.id}: its table has two powers at {twice:.3g} m/s; write one")
    elif len(points) == 1:
        notes.lack(f"{part.id}: one point is no table; write power-at-speed-2 too")
    return tuple(points) if len(points) > 1 and twice is None else None


def _cut_out_m_per_s(part: Part) -> float:
    given = part.figure("cut_out")
    return given.value if isinstance(given, Figure) else math.inf


def _controller(wiring: Wiring, part: Part, given_W: float, bank: Bank, notes: Notes) -> tuple[float, float]:
    """The efficiency of the controller behind a turbine, and the most that it takes from it."""
    there = _behind(wiring, part)
    if there is None:
        notes.assume(
            f"{part.id}: {100 * CLASS_CONTROLLER_ratio:.0f} % of it reach the bus, class default: no controller was found behind it"
        )
        return CLASS_CONTROLLER_ratio, math.inf
    ratio = number(there, "efficiency", notes) or CLASS_CONTROLLER_ratio
    out_A = number(there, "output_current", notes)
    most_W = math.inf if out_A is None else out_A * bank.nominal_V / ratio
    if most_W < given_W:
        notes.assume(
            f"{part.id}: its controller {there.id} takes {most_W:.0f} W of its {given_W:.0f} W, by its output current; the rest is not used"
        )
    return ratio, most_W


def _behind(wiring: Wiring, part: Part) -> Part | None:
    """The controller that a turbine is wired to, else the only one of the file."""
    seen, queue = {part.id}, deque([part.id])
    while queue:
        for _, other in wiring.ends.get(queue.popleft(), ()):
            there = wiring.rig.parts.get(top(other))
            if there is None or there.id in seen:
                continue
            seen.add(there.id)
            if there.kind.name == CONTROLLER:
                return there
            if there.kind.name in THROUGH:
                queue.append(there.id)
    only = wiring.rig.of_kind(CONTROLLER)
    return only[0] if len(only) == 1 else None
