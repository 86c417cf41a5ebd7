"""What a load takes while it runs, as far as anybody told."""

from ohmwright.rig.model import Load
from ohmwright.working import known


def told_W(load: Load) -> float | None:
    """Its power while it runs, as given; the sum over its pairs of poles where it has several."""
    for label in ("", *load.power):
        figure = known(load.power[label]) if label in load.power else None
        if figure is not None and "-" not in label:
            return figure.value
    pairs = [f.value for k, g in load.power.items() if "-" in k and (f := known(g))]
    return sum(pairs) if pairs else None


def running_W(load: Load) -> float | None:
    """Its power as given, else its daily energy over its hours (24 when it tells none): an average, not a design current."""
    told = told_W(load)
    if told is not None:
        return told
    energy = [f.value for g in load.energy.values() if (f := known(g))]
    hours = [f.value / 3600 for g in load.hours.values() if (f := known(g))]
    return max(energy) / (max(hours) if hours else 24.0) if energy else None
