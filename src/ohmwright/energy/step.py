# ruff: noqa: FURB136 - a comparison takes a quarter of the time of a call to min, and this runs 8760 times a year
"""One hour of one rig: what array, supply, engine and bank give, what the loads get, where the rest goes.

`hour` is compiled unchanged for the batch kernel and called as it stands by the plain loop.  So that single
precision stays single, it holds no number of its own: `zero` comes in, and everything else is a parameter.
All powers are means of the hour, so watts are watt-hours.

Order of service: supply or generator carries the AC loads it can; the array is used before the engine, the engine
before the charger; the bank takes or gives the difference within its limits; what is then missing is unserved,
what is then over is curtailed, charger first and array last.
"""

from ohmwright.physics.bank import at_hand_after_Ah, rest_V, stiffening_taper_A, wells_give_A, wells_take_A
from ohmwright.physics.converter import bank_current_A, converter_in_W

#: What `hour` takes after the five states: first what changes by the hour, then what belongs to the rig.
BY_HOUR = (
    "array_W", "dc_W", "ac_W", "idle_W", "supply_W", "bus_W", "may_run_ratio", "resistance_ohm", "charge_A", "discharge_A",
)  # fmt: skip
BY_RIG = (
    "capacity_Ah", "full_at_hand_Ah", "floor_Ah", "set_V", "leak_ratio", "kept_ratio", "gas_ratio", "keep_ratio", "refill_ratio", "draw_h",
    "base_V", "slope_V", "bend1_V", "knee1_ratio", "bend2_V", "knee2_ratio", "bend3_V", "knee3_ratio", "bend4_V", "knee4_ratio",
    "bend5_V", "knee5_ratio", "bend6_V", "knee6_ratio", "controller_A", "charger_A", "charger_ratio", "proportional_ratio", "square_per_W",
    "generator_W", "start_ratio", "stop_ratio", "half_gap_V", "low_knee_ratio", "low_gain_ratio", "trip_Ah", "restart_ratio",
    "least_run_h", "edge_ratio", "stiff_ratio", "brim_Ah", "square_ratio", "ease_ratio", "grow_per_Ah", "gas_per_h", "gas_knee_A", "cut_V", "back_V", "sag_ratio", "open_V", "per_Ah", "half_per_Ah", "zero",
)  # fmt: skip
#: What it answers: five states, then the accounts of the hour in Wh.
ANSWERS = ("at_hand_Ah", "total_Ah", "running_h", "waiting_ratio", "down_V", "array_Wh", "bus_Wh", "source_Wh", "load_Wh", "unserved_Wh", "charger_loss_Wh", "bank_loss_Wh", "stored_Wh")  # fmt: skip


def kept_charge_ratio(
    missing_Ah: float,
    charging_A: float,
    kept_ratio: float,
    gas_ratio: float,
    gas_per_h: float,
    gas_knee_A: float,
) -> float:
    """Share of a charging current that stays: kept - gas * exp(-16 a / b), with a = gas_per_h times what is missing and b = I + gas_knee_A.

    With gas 1, gas_per_h 20.73 / 16 over ten hours of the ten-hour capacity and gas_knee_A 0.55 of the ten-hour current this is Copetti's
    charge efficiency of a lead-acid bank; with gas 0 a constant.  exp(-x) is taken as (1 + x + x^2 / 2)^-1 of a sixteenth, squared
    four times: within 0.002.
    """
    part_A = gas_per_h * missing_Ah
    whole_A = charging_A + gas_knee_A
    square = whole_A * whole_A
    cross = part_A * whole_A
    left = (square + square) / (square + square + cross + cross + part_A * part_A)
    left = left * left
    left = left * left
    left = left * left
    return kept_ratio - gas_ratio * (left * left)


def hour(
    at_hand_Ah: float,
    total_Ah: float,
    running_h: float,
    waiting_ratio: float,
    down_V: float,
    array_W: float,
    dc_W: float,
    ac_W: float,
    idle_W: float,
    supply_W: float,
    bus_W: float,
    may_run_ratio: float,
    resistance_ohm: float,
    charge_A: float,
    discharge_A: float,
    capacity_Ah: float,
    full_at_hand_Ah: float,
    floor_Ah: float,
    set_V: float,
    leak_ratio: float,
    kept_ratio: float,
    gas_ratio: float,
    keep_ratio: float,
    refill_ratio: float,
    draw_h: float,
    base_V: float,
    slope_V: float,
    bend1_V: float,
    knee1_ratio: float,
    bend2_V: float,
    knee2_ratio: float,
    bend3_V: float,
    knee3_ratio: float,
    bend4_V: float,
    knee4_ratio: float,
    bend5_V: float,
    knee5_ratio: float,
    bend6_V: float,
    knee6_ratio: float,
    controller_A: float,
    charger_A: float,
    charger_ratio: float,
    proportional_ratio: float,
    square_per_W: float,
    generator_W: float,
    start_ratio: float,
    stop_ratio: float,
    half_gap_V: float,
    low_knee_ratio: float,
    low_gain_ratio: float,
    trip_Ah: float,
    restart_ratio: float,
    least_run_h: float,
    edge_ratio: float,
    stiff_ratio: float,
    brim_Ah: float,
    square_ratio: float,
    ease_ratio: float,
    grow_per_Ah: float,
    gas_per_h: float,
    gas_knee_A: float,
    cut_V: float,
    back_V: float,
    sag_ratio: float,
    open_V: float,
    per_Ah: float,
    half_per_Ah: float,
    zero: float,
) -> tuple[float, float, float, float, float, float, float, float, float, float, float, float, float]:
    """The hour; see ANSWERS.  Energy in = served + lost + stored, to rounding.

    A bank that falls below `trip_Ah` is cut from its loads until it stands at `restart_ratio` again: `waiting_ratio`
    is what it waits for, 0 while it is joined.  Resistance grows by `low_gain_ratio` for each part of charge below the knee.
    `running_h` is how long the generator has run since it started; it stops no sooner than after `least_run_h`, unless it may not
    run.  A charging bank resists by `stiff_ratio` of its resistance more, over the part of `brim_Ah` that it is short of, and by
    `square_ratio` over the square of it, less `ease_ratio`, as it stands after half of what it would take: the last of a lead-acid charge goes in slowly;
    0 for lithium.  No current above `edge_ratio`
    of that of a collapse is drawn, lest rounding leave no root.

    An inverter whose terminal volts under the hour's load fall below `cut_V` drops its loads for that hour and stays down until the
    bank stands at `back_V` without them: `down_V` is what it waits for, 0 while it runs.  It sees `sag_ratio` of the drop in the bank: 0 where its cut-off
    allows for the load.  Below `open_V` the bank's own management opens, and all loads are lost.
    """
    soc_ratio = total_Ah * per_Ah
    threshold_ratio = stop_ratio if running_h > zero else start_ratio
    wanted_ratio = may_run_ratio if soc_ratio < threshold_ratio else zero
    owed_ratio = may_run_ratio if running_h < least_run_h else zero
    owed_ratio = owed_ratio if running_h > zero else zero
    runs_ratio = owed_ratio if owed_ratio > wanted_ratio else wanted_ratio
    running_next_h = running_h + runs_ratio if runs_ratio > zero else zero
    source_W = supply_W + generator_W * runs_ratio
    through_W = ac_W if ac_W < source_W else source_W
    spare_W = (source_W - through_W) * charger_ratio
    inverted_W = converter_in_W(ac_W - through_W, idle_W, proportional_ratio, square_per_W)
    asked_W = dc_W + inverted_W
    waits_ratio = waiting_ratio if soc_ratio < waiting_ratio else zero
    joined_W = dc_W if down_V > zero else asked_W
    need_W = zero if waits_ratio > zero else joined_W
    under_ratio = low_knee_ratio - soc_ratio
    under_ratio = under_ratio if under_ratio > zero else zero
    ohm = resistance_ohm + resistance_ohm * (low_gain_ratio * under_ratio)
    short_ratio = capacity_Ah / (brim_Ah - total_Ah)
    into_ohm = ohm + resistance_ohm * (short_ratio * (stiff_ratio + square_ratio * short_ratio) - ease_ratio)

    # What the bank can take and give as it stands.
    now_V = rest_V(
        soc_ratio, base_V, slope_V, bend1_V, knee1_ratio, bend2_V, knee2_ratio, bend3_V, knee3_ratio,
        bend4_V, knee4_ratio, bend5_V, knee5_ratio, bend6_V, knee6_ratio,
    )  # fmt: skip
    room_A = wells_take_A(full_at_hand_Ah, at_hand_Ah, total_Ah, keep_ratio, refill_ratio, draw_h)
    grows_ohm_per_A = (
        resistance_ohm
        * (short_ratio * short_ratio * grow_per_Ah)
        * (stiff_ratio + square_ratio * short_ratio + square_ratio * short_ratio)
    )
    take_A = stiffening_taper_A(set_V, now_V + half_gap_V, into_ohm, grows_ohm_per_A)
    take_A = take_A if take_A < charge_A else charge_A
    take_A = take_A if take_A < room_A else room_A
    take_A = take_A if take_A > zero else zero
    into_ohm = into_ohm + grows_ohm_per_A * take_A
    give_A = wells_give_A(at_hand_Ah, total_Ah, keep_ratio, refill_ratio, draw_h)
    above_Ah = total_Ah - floor_Ah
    give_A = give_A if give_A < above_Ah else above_Ah
    give_A = give_A if give_A < discharge_A else discharge_A
    edge_siemens = edge_ratio / (ohm + ohm)
    collapse_A = edge_siemens * (now_V - half_gap_V)
    give_A = give_A if give_A < collapse_A else collapse_A
    give_A = give_A if give_A > zero else zero

    # Its voltage in the middle of the hour, from the current that would flow at its voltage now.
    array_limit_W = controller_A * now_V
    array_can_W = array_W if array_W < array_limit_W else array_limit_W
    charger_limit_W = charger_A * now_V
    charger_can_W = spare_W if spare_W < charger_limit_W else charger_limit_W
    flow_A = (array_can_W + bus_W + charger_can_W - need_W) / now_V
    flow_A = flow_A if flow_A < take_A else take_A
    flow_A = flow_A if flow_A > -give_A else -give_A
    middle_ratio = soc_ratio + flow_A * half_per_Ah
    emf_V = rest_V(
        middle_ratio, base_V, slope_V, bend1_V, knee1_ratio, bend2_V, knee2_ratio, bend3_V, knee3_ratio,
        bend4_V, knee4_ratio, bend5_V, knee5_ratio, bend6_V, knee6_ratio,
    )  # fmt: skip
    into_V = emf_V + half_gap_V
    outof_V = emf_V - half_gap_V
    bank_V = into_V + flow_A * into_ohm if flow_A > zero else outof_V + flow_A * ohm
    bank_V = bank_V if bank_V < set_V else set_V

    # At what volts the inverter and the bank's management let go.
    seen_V = bank_V if flow_A > zero else outof_V + flow_A * (ohm * sag_ratio)
    lost_W = zero if down_V > zero else inverted_W
    lost_W = lost_W if seen_V < cut_V else zero
    lost_W = lost_W if need_W > zero else zero
    still_V = down_V if bank_V < down_V else zero
    down_next_V = back_V if lost_W > zero else still_V
    kept_W = dc_W if lost_W > zero else need_W
    opens_V = zero if lost_W > zero else open_V
    opens_V = opens_V if need_W > zero else zero
    need_W = zero if bank_V < opens_V else kept_W

    # What is offered at the bus, each source within its own current limit at that voltage.
    array_limit_W = controller_A * bank_V
    array_can_W = array_W if array_W < array_limit_W else array_limit_W
    charger_limit_W = charger_A * bank_V
    charger_can_W = spare_W if spare_W < charger_limit_W else charger_limit_W
    surplus_W = array_can_W + bus_W + charger_can_W - need_W
    collapse_A = edge_siemens * outof_V
    give_A = give_A if give_A < collapse_A else collapse_A
    take_W = take_A * (into_V + take_A * into_ohm)
    give_W = give_A * (outof_V - give_A * ohm)

    served_W = surplus_W if surplus_W > -give_W else -give_W
    net_W = served_W if served_W < take_W else take_W
    unserved_W = (served_W - surplus_W) + (asked_W - need_W)
    over_W = served_W - net_W
    drive_V = into_V if net_W > zero else outof_V
    drive_ohm = into_ohm if net_W > zero else ohm
    current_A = bank_current_A(net_W, drive_V, drive_ohm)
    charging_A = current_A if current_A > zero else zero
    kept_now_ratio = kept_charge_ratio(
        capacity_Ah - total_Ah, charging_A, kept_ratio, gas_ratio, gas_per_h, gas_knee_A
    )
    charge_kept_A = current_A * kept_now_ratio if current_A > zero else current_A

    leaked_Ah = total_Ah * leak_ratio
    at_hand_next_Ah = (
        at_hand_after_Ah(at_hand_Ah, total_Ah, charge_kept_A, keep_ratio, refill_ratio, draw_h)
        - at_hand_Ah * leak_ratio
    )
    total_next_Ah = total_Ah + charge_kept_A - leaked_Ah
    waiting_next_ratio = restart_ratio if total_next_Ah < trip_Ah else waits_ratio
    waiting_next_ratio = restart_ratio if bank_V < opens_V else waiting_next_ratio

    # What is over is cut back: charger first, then engine, then array.
    charger_W = charger_can_W - over_W
    charger_W = charger_W if charger_W > zero else zero
    over_W = over_W - (charger_can_W - charger_W)
    engine_W = bus_W - over_W
    engine_W = engine_W if engine_W > zero else zero
    over_W = over_W - (bus_W - engine_W)
    array_used_W = array_can_W - over_W

    charger_in_W = charger_W / charger_ratio
    bank_loss_W = current_A * (current_A * drive_ohm + drive_V - emf_V) + emf_V * (
        current_A - charge_kept_A + leaked_Ah
    )
    stored_W = emf_V * (charge_kept_A - leaked_Ah)
    return (
        at_hand_next_Ah,
        total_next_Ah,
        running_next_h,
        waiting_next_ratio,
        down_next_V,
        array_used_W,
        engine_W,
        through_W + charger_in_W,
        asked_W + through_W,
        unserved_W,
        charger_in_W - charger_W,
        bank_loss_W,
        stored_W,
    )
