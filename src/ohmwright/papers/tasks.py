"""The shop's own tables: minutes, rates and margin of its work, and what lies in its stock.

The packaged table is common practice; a shop's `tasks.yaml` says only what differs from it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import NoReturn

from ohmwright.working import Figure, FileError, Position, QuantityError, nearest, packaged, parse
from ohmwright.working import tree as t

KEYS = ("tasks", "minutes", "heavy-from", "consumables-percent", "margin-percent", "rate-per-hour", "rate-origin", "valid-days")  # fmt: skip
MOST = Decimal(100_000)


@dataclass(frozen=True, slots=True)
class Tasks:
    """Minutes by task, and what a price is made of."""

    minutes: Mapping[str, tuple[Decimal, Decimal]]
    heavy_mm2: float
    consumables: tuple[Decimal, Decimal]
    margin: Decimal
    rates: Mapping[str, Decimal]
    rate_origin: str
    valid_days: int


@lru_cache(maxsize=1)
def packaged_tasks() -> Tasks:
    """Common practice."""
    nothing = Tasks({}, 0.0, (Decimal(0), Decimal(0)), Decimal(0), {}, "", 0)
    text = packaged("ohmwright.papers", "tasks.yaml").decode("utf-8")
    return _read(text, "papers/tasks.yaml", nothing, known=None)


def read_tasks(text: str, file: str) -> Tasks:
    """A shop's table over the packaged one. What nobody knows or cannot be a figure is a FileError with its place."""
    base = packaged_tasks()
    return _read(text, file, base, known=tuple(base.minutes))


def _read(text: str, file: str, base: Tasks, known: tuple[str, ...] | None) -> Tasks:
    tree = _map(t.read_tree(text, file), "the table")
    for key, entry in tree.entries.items():
        if key not in KEYS:
            _refuse(entry.key.at, f"'{key}' is no key of a task table", _near(key, KEYS))
    minutes = dict(base.minutes)
    for name, row in _entries(tree, "minutes"):
        if known is not None and name not in known:
            _refuse(row.at, f"'{name}' is no task", _near(name, known))
        minutes[name] = _pair(row)
    heavy, use = tree.get("heavy-from"), tree.get("consumables-percent")
    rates = {**base.rates, **{k: _number(v) for k, v in _entries(tree, "rate-per-hour")}}
    margin, days, origin = tree.get("margin-percent"), tree.get("valid-days"), tree.get("rate-origin")
    own = "the shop's" if known is not None and "rate-per-hour" in tree.entries else base.rate_origin
    return replace(
        base,
        minutes=minutes,
        heavy_mm2=_area(heavy) if heavy is not None else base.heavy_mm2,
        consumables=_pair(use) if use is not None else base.consumables,
        margin=_number(margin) if margin is not None else base.margin,
        rates=rates,
        rate_origin=_scalar(origin) if origin is not None else own,
        valid_days=int(_number(days)) if days is not None else base.valid_days,
    )


def read_stock(text: str, file: str) -> dict[str, int]:
    """What lies in the shop by shelf entry: `stock: {fuse-class-t-400a: 2}`."""
    tree = _map(t.read_tree(text, file), "the stock")
    for key, entry in tree.entries.items():
        if key != "stock":
            _refuse(
                entry.key.at,
                f"'{key}' is no key of a stock list",
                "write stock: and below it shelf entries with their counts",
            )
    return {name: int(_number(row)) for name, row in _entries(tree, "stock")}


def _entries(tree: t.Mapping, key: str) -> list[tuple[str, t.Tree]]:
    found = tree.get(key)
    return [] if found is None else [(n, e.value) for n, e in _map(found, key).entries.items()]


def _pair(row: t.Tree) -> tuple[Decimal, Decimal]:
    both = _map(row, "low and high")
    low, high = both.get("low"), both.get("high")
    if low is None or high is None:
        _refuse(row.at, "low and high are wanted", "write {low: 6, high: 8}")
    least, most = _number(low), _number(high)
    if least > most:
        _refuse(row.at, f"low {least} is more than high {most}", "write the smaller one as low")
    return least, most


def _number(value: t.Tree) -> Decimal:
    text = _scalar(value)
    try:
        found = Decimal(text)
        if not (found.is_finite() and 0 <= found <= MOST):
            raise InvalidOperation
    except InvalidOperation:
        _refuse(value.at, f"'{text[:40]}' is no number from 0 to {MOST}", "write a plain number")
    return found


def _area(value: t.Tree) -> float:
    try:
        found = parse(_scalar(value), "mm2")
    except QuantityError as error:
        _refuse(value.at, str(error), "write an area, for instance 100 mm2")
    if not isinstance(found, Figure):
        _refuse(value.at, "an area is wanted", "write one, for instance 100 mm2")
    return found.value


def _scalar(value: t.Tree) -> str:
    if not isinstance(value, t.Scalar):
        _refuse(value.at, "a single value is wanted here", "write one number or word")
    return value.text.strip()


def _map(value: t.Tree, what: str) -> t.Mapping:
    if not isinstance(value, t.Mapping):
        _refuse(value.at, f"{what} is a map", "write name: value, line by line")
    return value


def _near(name: str, allowed: tuple[str, ...]) -> str:
    near = nearest(name, allowed)
    return f"did you mean {near}?" if near else f"write one of: {', '.join(allowed)}"


def _refuse(at: Position, message: str, remedy: str) -> NoReturn:
    raise FileError(message, at=at, remedy=remedy)
