"""Why the loads want so much: load by load, what the inverter takes, what keeps the bank warm."""

from collections.abc import Iterator

from ohmwright.energy.daybook import DayBook
from ohmwright.energy.loads import Asked
from ohmwright.energy.loop import MONTH_OF_DAY
from ohmwright.energy.plan import Day
from ohmwright.energy.reckoned import computed, given, held, summed, worked
from ohmwright.energy.series import stay_of_day
from ohmwright.working import Figure, Input, Step

#: Each figure of a load by its symbol, and the number by which it is taken into hours.
SYMBOLS = {"power": "P", "hours": "t", "duty": "d", "energy": "E", "standby": "S"}


def wants_steps(book: DayBook, day: int) -> Iterator[Step]:
    """The loads of day 0..364 one by one, and what is added to them."""
    one = book.one
    stay = stay_of_day(one.plan.stays)[day]
    hours = range(24 * day, 24 * day + 24)
    terms: list[Input] = []
    if stay is None:
        own = worked(
            "E_own", "24 * P_own", one.plan.own_use_Wh_per_day, "Wh",
            (computed("P_own", one.plan.own_use_Wh_per_day / 24.0, "W", "what devices take for themselves, by their pages"),),
            "this day is in no stay: nobody is there",
        )  # fmt: skip
        terms.append(held("E_own", own))
    else:
        plan = stay.day(day, MONTH_OF_DAY[day])
        for n, asked in enumerate(plan.asked, 1):
            name = asked.load.replace("-", "_")
            step = load_step(asked, f"E_{name}" if name.isidentifier() else f"E_{n}")
            terms.append(held(step.symbol, step))
        terms += _beside(plan)
    for symbol, column, told in (
        ("E_inv", book.inverter, "what the inverter takes more than its loads: idle, and its losses by the hour"),
        ("E_heat", book.heat, "what keeps the bank warm, hour by hour"),
    ):  # fmt: skip
        value = sum(column[t] for t in hours)
        if value:
            terms.append(computed(symbol, value, "Wh", told))
    whole = summed("E_day", "Wh", terms, "all that is asked of the bus in the day")
    yield whole
    yield worked("W_day", "E_day / 1000", sum(book.wants[t] for t in hours) / 1000.0, "kWh", (held("E_day", whole),))  # fmt: skip


def _beside(plan: Day) -> Iterator[Input]:
    """What is in the day beside its loads."""
    loads_Wh = sum(a.Wh for a in plan.asked if not a.ac)
    short_Wh, own_Wh = sum(plan.short_loss_W), 24.0 * plan.own_W
    if own_Wh:
        own = worked(
            "E_own", "24 * P_own", own_Wh, "Wh",
            (computed("P_own", plan.own_W, "W", "what devices take for themselves, by their pages"),),
        )  # fmt: skip
        yield held("E_own", own)
    if short_Wh:
        yield computed("E_short", short_Wh, "Wh", "what the inverter loses more because loads run hard for short times")  # fmt: skip
    other_Wh = sum(plan.dc_W) - loads_Wh - short_Wh - own_Wh
    if abs(other_Wh) > 1e-6:
        yield computed("E_still", other_Wh, "Wh", "what is drawn although the bank is cut off: by its management, and ahead of the main switch")  # fmt: skip


def load_step(asked: Asked, symbol: str) -> Step:
    """One load's day from the figures of the file."""
    some = [(k, f) for k, f in asked.given if isinstance(f, Figure)]
    inputs = [_input(k, f, n, some) for n, (k, f) in enumerate(some)]
    by = {k: [i.symbol for i, (name, _) in zip(inputs, some, strict=True) if name == k] for k in SYMBOLS}
    power = " + ".join(by["power"])
    power = f"({power})" if len(by["power"]) > 1 else power
    if by["energy"]:
        text = by["energy"][0] + (f" + 24 * {by['standby'][0]}" if by["standby"] else "")
    elif not power:
        text = f"24 * {by['standby'][0]}" if by["standby"] else "0"
    else:
        if asked.heated_h is not None:
            inputs.append(computed("h", asked.heated_h, "h", "hours a day in which its place's heat loss calls for it, mean of the month"))  # fmt: skip
            runs = "h"
        else:
            runs = by["hours"][0] if by["hours"] else "24"
            if by["duty"]:
                runs = f"{runs} * {by['duty'][0]}"
        text = f"{power} * {runs}"
        if by["standby"]:
            text += f" + {by['standby'][0]} * (24 - {runs})"
    if asked.converter_ratio != 1.0:
        inputs.append(computed("eta", asked.converter_ratio, "1", "efficiency of the converters that feed it"))  # fmt: skip
        text = f"({text}) / eta"
    side = "AC" if asked.ac else "DC"
    return worked(symbol, text, asked.Wh, "Wh", inputs, f"{asked.load}, {side}")


def _input(name: str, figure: Figure, nth: int, some: list[tuple[str, Figure]]) -> Input:
    if name == "hours":
        return Input(SYMBOLS[name], figure.to("h"), "h", figure.origin, figure.address)
    alike = sum(1 for k, _ in some if k == name) > 1
    return given(SYMBOLS[name] + (f"_{nth + 1}" if alike else ""), figure)
