"""Metric or US customary, chosen by the job: how lengths, masses, torques and temperatures are printed."""

from dataclasses import dataclass

from ohmwright.working import convert


@dataclass(frozen=True, slots=True)
class Units:
    """The view of a paper. A number that is None stays None."""

    us: bool = False

    @property
    def length(self) -> str:
        """Unit of a run."""
        return "ft" if self.us else "m"

    @property
    def small(self) -> str:
        """Unit of a strip, stud or sleeve."""
        return "in" if self.us else "mm"

    @property
    def mass(self) -> str:
        """Unit of mass."""
        return "lb" if self.us else "kg"

    @property
    def torque(self) -> str:
        """Unit of torque."""
        return "lbf·in" if self.us else "N·m"

    @property
    def warmth(self) -> str:
        """Unit of temperature."""
        return "°F" if self.us else "°C"

    def run(self, metres: float | None) -> float | None:
        """A run's length."""
        return metres if metres is None or not self.us else convert(metres, "m", "ft")

    def little(self, mm: float | None) -> float | None:
        """A small length."""
        return mm if mm is None or not self.us else convert(mm, "mm", "in")

    def heavy(self, kg: float | None) -> float | None:
        """A mass."""
        return kg if kg is None or not self.us else convert(kg, "kg", "lb")

    def turn(self, newton_metres: float | None) -> float | None:
        """A torque."""
        return (
            newton_metres if newton_metres is None or not self.us else convert(newton_metres, "Nm", "lbf-in")
        )

    def warm(self, celsius: float | None) -> float | None:
        """A temperature."""
        return celsius if celsius is None or not self.us else celsius * 9 / 5 + 32
