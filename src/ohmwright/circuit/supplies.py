"""What a charger, a converter or a source may give in a case: limits, voltages, losses, from plate and settings."""

from dataclasses import dataclass

from ohmwright.circuit.types import Case
from ohmwright.physics.converter import converter_in_W, proportional_loss_ratio, square_loss_per_W
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure, known

#: From this state of charge on a charger holds its float voltage.
FULL_ratio = 0.995
#: Figures that are the largest output current of a charging part, in the order they are asked.
OUTPUT_FIGURES = ("output_current", "charge_current", "limit", "output_hot_cruise", "rated")
#: Settings that limit it.
CHARGE_SETTINGS = ("charge", "charge-limit")


def limit_A(rig: Rig, part: Part, case: Case) -> float | None:
    """The most current that a charging part gives: what the case says, its setting, its plate; None when unknown."""
    plate = next((f.value for name in OUTPUT_FIGURES if (f := known(part.figure(name)))), None)
    found = [plate] if plate is not None else []
    for key in CHARGE_SETTINGS:
        given = rig.setting(part.id, key)
        if isinstance(given, Figure) and given.unit == "A":
            found.append(given.value)
    if part.id in case.charge_A:
        found.append(case.charge_A[part.id])
    return min(found, default=None)


def held_V(rig: Rig, part: Part, full: bool) -> float | None:
    """The voltage at which a charging part stops pushing: float when the bank is full, else absorption; None unknown."""
    for key in ("float", "absorption") if full else ("absorption", "float"):
        given = rig.setting(part.id, key)
        if isinstance(given, Figure) and given.unit == "V":
            return given.value
    for name in ("voltage", "absorption_max"):
        figure = known(part.figure(name))
        if figure is not None:
            return figure.value
    return None


@dataclass(frozen=True, slots=True)
class Losses:
    """Idle, proportional and square loss of a converter."""

    idle_W: float
    proportional_ratio: float
    square_per_W: float

    def input_W(self, out_W: float) -> float:
        """What it takes to give `out_W`."""
        return converter_in_W(out_W, self.idle_W, self.proportional_ratio, self.square_per_W)


def inverter_losses(part: Part) -> Losses:
    """The loss curve of an inverter; class defaults stand in for what its plate does not say."""
    idle = known(part.with_default("idle"))
    peak, full = known(part.with_default("efficiency_peak")), known(part.with_default("efficiency_full"))
    rated = known(part.figure("power"))
    idle_W = idle.value if idle else 0.0
    if full is None:
        return Losses(idle_W, 0.0, 0.0)
    best = max(peak.value, full.value) if peak else full.value
    if rated is None:
        return Losses(idle_W, 1 / full.value - 1, 0.0)
    square = square_loss_per_W(idle_W, rated.value, full.value, best)
    curve = Losses(idle_W, proportional_loss_ratio(idle_W, square, best), square)
    if curve.proportional_ratio < 0:
        return Losses(idle_W, 1 / full.value - 1 - idle_W / rated.value, 0.0)
    return curve


def efficiency(part: Part, *names: str) -> float:
    """Efficiency of a charger or controller, with its class default; 1 when it has none."""
    for name in (*names, "efficiency"):
        figure = known(part.with_default(name)) if name in part.kind.figures else None
        if figure is not None:
            return figure.value
    return 1.0


def array_W(part: Part) -> float | None:
    """Power of a module at standard test conditions."""
    figure = known(part.figure("power"))
    if figure is not None:
        return figure.value
    volts, amps = known(part.figure("max_power_voltage")), known(part.figure("max_power_current"))
    return volts.value * amps.value if volts and amps else None


def full_W(part: Part) -> float | None:
    """The largest continuous power of an inverter at any temperature."""
    return max(
        (f.high for name in ("power", "power_40", "power_60") if (f := known(part.figure(name)))),
        default=None,
    )
