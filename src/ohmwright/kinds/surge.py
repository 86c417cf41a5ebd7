"""What surge protective devices on DC and AC have in common: quiet, each pole is open to earth; struck, it conducts."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Pole, Port, Variable

FIGURES = {
    "max_voltage": FigureSpec("V", "highest continuous voltage"),
    "protection_level": FigureSpec("V", "voltage it lets through"),
    "nominal_discharge": FigureSpec("A", "nominal discharge current, 8/20"),
    "max_discharge": FigureSpec("A", "largest discharge current, 8/20"),
    "backup_fuse": FigureSpec("A", "largest fuse ahead of it"),
}


def between(poles: tuple[Pole, ...], *, ac: bool) -> Inside:
    """A device from each of `poles` to PE."""
    return Inside(
        (Port("", (*poles, "PE"), "ac" if ac else "pv"),),
        tuple(
            Inner(f"surge-{p}", "switch", p, "PE", "surge", when=(("", frozenset({"struck"})),))
            for p in poles
        ),
        (Variable("", ("quiet", "struck"), "fixed"),),
    )
