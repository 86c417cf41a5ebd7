"""The one diode of a module's page."""

from ohmwright.physics.diode_fit import Fitted, NotFitted, Printed, fit
from ohmwright.rig.model import Part
from ohmwright.working import Figure


def diode_of(part: Part) -> Fitted | NotFitted:
    """The one diode of a module's printed figures; class coefficients where none is given (energy only)."""
    values = []
    for name in ("short_circuit", "open_circuit", "max_power_current", "max_power_voltage"):
        given = part.figure(name)
        if not isinstance(given, Figure):
            return NotFitted(f"{part.id}.{name.replace('_', '-')} is not known", "figure-missing")
        values.append(given.value)
    isc, voc, imp, vmp = values
    beta, alpha = part.figure("beta_voltage"), part.figure("alpha_current")
    beta_V = beta.value if isinstance(beta, Figure) else _part_of(part, "beta", voc)
    alpha_A = alpha.value if isinstance(alpha, Figure) else _part_of(part, "alpha", isc)
    return fit(Printed(isc, voc, imp, vmp, beta_V, alpha_A))


def _part_of(part: Part, name: str, whole: float) -> float:
    given = part.with_default(name)
    return given.value / 100.0 * whole if isinstance(given, Figure) else 0.0
