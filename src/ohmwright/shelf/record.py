"""A part record: one entry of the shelf, every figure with its condition and origin."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Protocol

from ohmwright.kinds.base import Kind
from ohmwright.working import Given, Origin


@dataclass(frozen=True, slots=True)
class Price:
    """What a part costs. Decimal money is made of `amount` in takeoff only."""

    amount: str
    currency: str
    dated: str = ""
    lead_days: int | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """One part of the shelf. A bare kind (`is: pv-controller-pwm`) is a record without figures."""

    id: str
    kind: Kind
    title: str
    figures: Mapping[str, Given] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    price: Price | None = None
    bare: bool = False
    from_shop: bool = False
    file: str = ""
    prices: Mapping[str, Price] = field(default_factory=dict)
    """By currency; `price` is the first of them."""
    source: Origin | None = None
    """Where its figures come from unless they say else."""

    def price_in(self, currency: str) -> Price | None:
        """The price in that currency, or None when the shelf has none."""
        return self.prices.get(currency) or (
            self.price if self.price and self.price.currency == currency else None
        )


class Shelf(Protocol):
    """The mapping handed in to the rig reader."""

    def find(self, id: str) -> Record | None:  # noqa: A002 - the file's own word
        """The record, a bare kind of that name, or None."""

    def __iter__(self) -> Iterator[str]:
        """All ids."""
