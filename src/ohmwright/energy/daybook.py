"""The hours of the typical year under the names by which its figures are told, and their sums."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from ohmwright.energy.one_year import OneYear, WHOLE_Wh
from ohmwright.energy.series import by_day_hour, lived_days, stay_of_day
from ohmwright.physics.converter import converter_in_W


@dataclass(frozen=True)
class DayBook:
    """Every figure of weeks, months and stays is one of these columns, summed over its hours."""

    one: OneYear

    @cached_property
    def sun(self) -> tuple[float, ...]:
        """What the array could have put on the bus: used and cut back."""
        return tuple(a + b for a, b in zip(self.used, self.cut, strict=True))

    @cached_property
    def used(self) -> Sequence[float]:
        """What it did put there."""
        return self.one.accounts.columns["array_Wh"]

    @cached_property
    def cut(self) -> tuple[float, ...]:
        """What the controllers could have given more."""
        return self.one.curtailed_Wh()

    @cached_property
    def wants(self) -> Sequence[float]:
        """What the loads ask, with the loss of the inverter."""
        return self.one.accounts.columns["load_Wh"]

    @cached_property
    def unserved(self) -> tuple[float, ...]:
        """What was asked for and not given; of a bank that is cut off nothing."""
        return self.one.lacking_Wh()

    @cached_property
    def supply(self) -> Sequence[float]:
        """Out of a supply or a generator."""
        return self.one.accounts.columns["source_Wh"]

    @cached_property
    def engine(self) -> Sequence[float]:
        """From the engine, a wind or a hydro generator."""
        return self.one.accounts.columns["bus_Wh"]

    @cached_property
    def stored(self) -> Sequence[float]:
        """What the bank holds more at the end of the hour, less where negative."""
        return self.one.accounts.columns["stored_Wh"]

    @cached_property
    def lost(self) -> tuple[float, ...]:
        """In the bank and in the charger."""
        columns = self.one.accounts.columns
        return tuple(a + b for a, b in zip(columns["bank_loss_Wh"], columns["charger_loss_Wh"], strict=True))

    @cached_property
    def inverter(self) -> tuple[float, ...]:
        """What the inverter takes more than its loads, by the hour."""
        inv, plan = self.one.plan.inverter, self.one.plan
        running = self.one.accounts.columns["running_h"]
        out = []
        for t, row in enumerate(self.one.hours.rows):
            source_W = row[4] + plan.generator.rated_W * min(row[6], running[t])
            inverted_W = row[2] - min(row[2], source_W)
            out.append(
                converter_in_W(inverted_W, row[3], inv.proportional_ratio, inv.square_per_W) - inverted_W
            )
        return tuple(out)

    @cached_property
    def heat(self) -> tuple[float, ...]:
        """What keeps the bank warm, from the bus."""
        dc = by_day_hour(self.one.plan, "dc_W").tolist()
        quiet = self.one.plan.own_use_Wh_per_day / 24.0
        held = stay_of_day(self.one.plan.stays)
        return tuple(
            row[1] - (dc[t] if held[t // 24] is not None else quiet)
            for t, row in enumerate(self.one.hours.rows)
        )

    @cached_property
    def soc(self) -> Sequence[float]:
        """Charge of the bank at the end of the hour, as a part of full."""
        return self.one.accounts.soc

    @cached_property
    def lived(self) -> tuple[bool, ...]:
        """By day: whether somebody is there."""
        return tuple(lived_days(self.one.plan.stays).tolist())

    def kWh(self, name: str, hours: Iterable[int]) -> float:  # noqa: N802 - a unit
        """The sum of a column over some hours."""
        column: Sequence[float] = getattr(self, name)
        return sum(column[t] for t in hours) / 1000.0

    def is_lost(self, day: int) -> bool:
        """Whether the night of day 0..364 is lost: somebody is there, and more than WHOLE_Wh is not given."""
        return self.lived[day] and sum(self.unserved[24 * day : 24 * day + 24]) > WHOLE_Wh
