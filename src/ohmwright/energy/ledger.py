"""Where the energy of the typical year goes, by the hour: each line of the yearly balance is the sum of one of these columns."""

from collections.abc import Sequence

from ohmwright.energy.one_year import OneYear
from ohmwright.energy.series import by_day_hour
from ohmwright.physics.converter import generator_fuel_L_per_h

#: What each line holds, for whoever asks why.
MEANS = {
    "array": "what the controllers put on the bus",
    "shore": "out of a supply",
    "engine": "from the engine, a wind or a hydro generator",
    "generator": "out of the generator",
    "loads": "what the loads got, with the loss of the inverter",
    "of_loads_inverter_loss": "the inverter's idle draw and losses, among the loads",
    "of_loads_standby_and_own_use": "standby of loads and what devices take for themselves, among the loads",
    "lost_in_charger": "lost in the charger",
    "lost_in_bank": "lost in the bank: its resistance, charge that does not stay, self-discharge",
    "stored": "in the bank at the end of the year more than at its beginning",
    "unserved": "what was asked for and not given",
    "curtailed": "what the controllers could have given more, had the bank taken it",
    "lost_in_controllers": "lost in the PV controllers, of what was used",
    "bank_throughput": "what the bank took up in the hours that charged it",
}


def by_hour(one: OneYear) -> dict[str, Sequence[float]]:
    """The lines of the balance in Wh by hour."""
    columns, plan = one.accounts.columns, one.plan
    inv = plan.inverter
    inverter: list[float] = []
    controllers: list[float] = []
    shore: list[float] = []
    generator: list[float] = []
    for t, row in enumerate(one.hours.rows):
        offered, ac, idle = row[0], row[2], row[3]
        running = min(row[6], columns["running_h"][t])
        inverted = ac - min(ac, row[4] + plan.generator.rated_W * running)
        served = 1.0
        if columns["unserved_Wh"][t] > 0.0 and columns["load_Wh"][t] > 0.0:
            served = 1.0 - columns["unserved_Wh"][t] / columns["load_Wh"][t]
        inverter.append(
            served * (idle + inv.proportional_ratio * inverted + inv.square_per_W * inverted * inverted)
        )
        share = columns["array_Wh"][t] / offered if offered > 0.0 else 0.0
        controllers.append(share * (one.hours.array_in_W[t] - offered) if offered > 0.0 else 0.0)
        source = columns["source_Wh"][t]
        generator.append(source if running > 0.0 else 0.0)
        shore.append(0.0 if running > 0.0 else source)
    return {
        "array": columns["array_Wh"],
        "shore": shore,
        "engine": columns["bus_Wh"],
        "generator": generator,
        "loads": [w - u for w, u in zip(columns["load_Wh"], columns["unserved_Wh"], strict=True)],
        "of_loads_inverter_loss": inverter,
        "lost_in_charger": columns["charger_loss_Wh"],
        "lost_in_bank": columns["bank_loss_Wh"],
        "stored": columns["stored_Wh"],
        "unserved": columns["unserved_Wh"],
        "curtailed": one.curtailed_Wh(),
        "lost_in_controllers": controllers,
        "of_loads_standby_and_own_use": by_day_hour(plan, "steady_W").tolist(),
        "bank_throughput": [max(s, 0.0) for s in columns["stored_Wh"]],
    }


def generator_hours_L(one: OneYear) -> tuple[float, float]:
    """How long the generator ran, and what it burnt."""
    own, columns = one.plan.generator, one.accounts.columns
    hours = fuel = 0.0
    for t, row in enumerate(one.hours.rows):
        running = min(row[6], columns["running_h"][t])
        hours += running
        if running > 0.0:
            fuel += generator_fuel_L_per_h(
                columns["source_Wh"][t], own.rated_W, own.slope_factor, own.idle_factor
            )
    return hours, fuel
