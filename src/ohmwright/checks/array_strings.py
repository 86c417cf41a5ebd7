"""Parallel strings: reverse current, and the window for a string fuse."""

from dataclasses import dataclass

from ohmwright.physics.strings import circuit_A, reverse_A, sizing_A
from ohmwright.standards import find
from ohmwright.working import Figure, Step, work


@dataclass(frozen=True, slots=True)
class Window:
    """Least and greatest string fuse, the module's own rating, and the reverse current without a fuse."""

    reverse: Step
    least: Step
    most: Figure | Step
    module_fuse: Figure

    @property
    def empty(self) -> bool:
        """No fuse fits between the two."""
        return self.least.value > self.most.value * (1 + 1e-9)

    @property
    def told(self) -> str:
        """The window in words."""
        return f"{self.least.value:.2f} to {self.most.value:.2f} A" + (
            ", which is empty" if self.empty else ""
        )


def window(country: str, parallel: int, short_circuit: Figure, module_fuse: Figure) -> Window:
    """The window of a country's rules: us 1.5625 Isc to the module's fuse; eu 1.5 Isc to 2.4 Isc and the module's fuse.

    The reverse current counts 1.25 Isc a string in us rules and Isc in eu rules.
    """
    if country == "eu":
        ceiling = work(
            circuit_A,
            margin_factor=find("pv/eu-fuse-most").figure,
            in_parallel_count=1.0,
            short_circuit_A=short_circuit,
        )
        return Window(
            work(
                reverse_A, in_parallel_count=float(parallel), margin_factor=1.0, short_circuit_A=short_circuit
            ),
            work(
                circuit_A,
                margin_factor=find("pv/eu-fuse-least").figure,
                in_parallel_count=1.0,
                short_circuit_A=short_circuit,
            ),
            module_fuse if module_fuse.value <= ceiling.value else ceiling,
            module_fuse,
        )
    once = find("pv/us-maximum-current").figure
    return Window(
        work(reverse_A, in_parallel_count=float(parallel), margin_factor=once, short_circuit_A=short_circuit),
        work(
            sizing_A,
            continuous_factor=find("pv/us-continuous").figure,
            margin_factor=once,
            in_parallel_count=1.0,
            short_circuit_A=short_circuit,
        ),
        module_fuse,
        module_fuse,
    )
