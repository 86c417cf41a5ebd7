"""One hour: energy is never made or lost, whatever the numbers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ohmwright.energy.curves import rest_numbers, well_numbers
from ohmwright.energy.loop import GAS_KNEE_ratio, GAS_ratio
from ohmwright.energy.step import ANSWERS, BY_HOUR, BY_RIG, hour, kept_charge_ratio
from ohmwright.physics.bank import lead_charge_ratio

REST = dict(zip(BY_RIG[10:24], rest_numbers("lfp", 4), strict=True))
RIG: dict[str, float] = {
    "capacity_Ah": 400.0, "full_at_hand_Ah": 400.0, "floor_Ah": 40.0, "set_V": 14.2, "leak_ratio": 4e-5, "kept_ratio": 0.99,
    "gas_ratio": 0.0, "keep_ratio": 0.0, "refill_ratio": 1.0, "draw_h": 1.0, **REST, "controller_A": 60.0, "charger_A": 80.0,
    "charger_ratio": 0.88, "proportional_ratio": 0.05, "square_per_W": 1e-5, "generator_W": 0.0, "start_ratio": 0.0,
    "stop_ratio": 0.0, "half_gap_V": 0.13, "low_knee_ratio": 0.2, "low_gain_ratio": 1.0 / 0.15, "trip_Ah": 0.0, "restart_ratio": 0.0,
    "least_run_h": 0.0, "edge_ratio": 0.999, "stiff_ratio": 0.0, "brim_Ah": 402.0,
    "square_ratio": 0.0, "ease_ratio": 0.0, "grow_per_Ah": 0.5 / 400.0, "gas_per_h": 0.1, "gas_knee_A": 20.0, "cut_V": 0.0, "back_V": 0.0, "sag_ratio": 1.0, "open_V": 0.0, "per_Ah": 1.0 / 400.0, "half_per_Ah": 0.5 / 400.0, "zero": 0.0,
}  # fmt: skip
HOUR: dict[str, float] = {
    "array_W": 0.0, "dc_W": 0.0, "ac_W": 0.0, "idle_W": 0.0, "supply_W": 0.0, "bus_W": 0.0, "may_run_ratio": 0.0,
    "resistance_ohm": 0.002, "charge_A": 200.0, "discharge_A": 200.0,
}  # fmt: skip


def work(
    soc: float, *, running: float = 0.0, waiting: float = 0.0, down: float = 0.0, **given_: float
) -> dict[str, float]:
    """One hour from a state of charge, with some of the numbers changed."""
    rig = {**RIG, **{k: v for k, v in given_.items() if k in RIG}}
    hours = {**HOUR, **{k: v for k, v in given_.items() if k in HOUR}}
    answer = hour(
        soc * rig["full_at_hand_Ah"],
        soc * rig["capacity_Ah"],
        running,
        waiting,
        down,
        *(hours[k] for k in BY_HOUR),
        *(rig[k] for k in BY_RIG),
    )
    return dict(zip(ANSWERS, answer, strict=True))


watts = st.floats(0, 5000)


@given(
    st.floats(0.1, 1), st.floats(0, 9), watts, watts, watts, watts, watts, st.floats(0, 1), st.floats(2e-4, 0.05), st.floats(0, 300), st.floats(0, 300),
    st.sampled_from([None, (0.46, 0.95), (0.3, 0.2)]), st.floats(0, 13.5), st.floats(0, 14), st.sampled_from([0.0, 1.0]), st.floats(0, 13),
)  # fmt: skip
def test_every_hour_balances(
    soc: float,
    running: float,
    array: float,
    dc: float,
    ac: float,
    supply: float,
    bus: float,
    may: float,
    ohm: float,
    charge: float,
    give: float,
    wells: tuple[float, float] | None,
    cut: float,
    down: float,
    sag: float,
    opens: float,
) -> None:
    share, rate = wells or (1.0, None)
    keep, refill, draw = well_numbers(share, rate)
    a = work(
        soc, running=running, down=down, array_W=array, dc_W=dc, ac_W=ac, idle_W=20.0, supply_W=supply, bus_W=bus, may_run_ratio=round(may), resistance_ohm=ohm,
        charge_A=charge, discharge_A=give, generator_W=2000.0, start_ratio=0.3, stop_ratio=0.9, least_run_h=4.0,
        keep_ratio=keep, refill_ratio=refill, draw_h=draw, full_at_hand_Ah=400.0 * share, gas_ratio=0.0 if wells is None else 0.9,
        stiff_ratio=0.0 if wells is None else 2.23, square_ratio=0.0 if wells is None else 0.0441, ease_ratio=0.0 if wells is None else 2.56,
        low_knee_ratio=0.2 if wells is None else 1.0, low_gain_ratio=2.3, gas_per_h=0.125, gas_knee_A=20.0, cut_V=cut, back_V=cut + 1.0, sag_ratio=sag, open_V=opens,
    )  # fmt: skip
    came = a["array_Wh"] + a["bus_Wh"] + a["source_Wh"]
    went = a["load_Wh"] - a["unserved_Wh"] + a["charger_loss_Wh"] + a["bank_loss_Wh"] + a["stored_Wh"]
    assert came == pytest.approx(went, abs=1e-8)
    assert all(math.isfinite(v) for v in a.values())
    assert -1e-9 <= a["unserved_Wh"] <= a["load_Wh"] + 1e-9
    assert -1e-9 <= a["array_Wh"] <= array + 1e-9
    assert -1e-9 <= a["bus_Wh"] <= bus + 1e-9
    assert a["bank_loss_Wh"] >= -1e-9
    assert a["charger_loss_Wh"] >= -1e-9
    assert a["total_Ah"] <= 400.0 * (1 + 1e-9)
    assert a["total_Ah"] >= min(soc * 400, 40.0) - 400.0 * 4e-5 - 1e-9


def test_a_load_on_a_quiet_bank_takes_its_watt_hours_and_the_loss() -> None:
    # Worked by hand: 1000 W from 4 cells at 50 % (3.30 V rest by the lines, less half the gap): E = 13.2 - 0.13 = 13.07 V
    # a little lower in the middle of the hour; I = P/(E - I R) = about 77.5 A.
    a = work(0.5, dc_W=1000.0)
    amps = 200.0 - 400.0 * 4e-5 * 0.5 - a["total_Ah"]
    assert amps == pytest.approx(77.5, abs=0.3)
    assert a["unserved_Wh"] == 0


def test_a_supply_carries_ac_loads_and_charges_with_what_is_left() -> None:
    # Worked by hand: 1380 W supply, 500 W of AC loads: 880 W * 0.88 = 774 W at the bus.
    a = work(0.5, ac_W=500.0, supply_W=1380.0)
    assert a["source_Wh"] == pytest.approx(1380.0)
    assert a["charger_loss_Wh"] == pytest.approx(880 * 0.12)


def test_a_cold_bank_is_not_charged_but_still_gives() -> None:
    a = work(0.5, array_W=800.0, dc_W=100.0, charge_A=0.0)
    assert a["array_Wh"] == pytest.approx(100.0)
    assert work(0.5, dc_W=100.0, charge_A=0.0)["unserved_Wh"] == 0


def test_an_empty_bank_lets_the_sun_serve_what_it_can() -> None:
    a = work(0.1, array_W=60.0, dc_W=100.0)
    assert a["array_Wh"] == pytest.approx(60.0)
    assert a["unserved_Wh"] == pytest.approx(40.0)


def test_the_controller_clips_at_its_current_times_the_banks_voltage() -> None:
    low, high = work(0.3, array_W=5000.0)["array_Wh"], work(0.8, array_W=5000.0)["array_Wh"]
    assert 60 * 12.8 < low < high < 60 * 14.2


def test_a_generator_starts_low_and_stops_high() -> None:
    fed = {"may_run_ratio": 1.0, "generator_W": 2000.0, "start_ratio": 0.25, "stop_ratio": 0.9}
    assert work(0.24, **fed)["running_h"] == 1
    assert work(0.5, **fed)["running_h"] == 0
    assert work(0.5, running=1.0, **fed)["running_h"] == 2
    assert work(0.91, running=1.0, **fed)["running_h"] == 0
    assert work(0.1, may_run_ratio=0.0, generator_W=2000.0, start_ratio=0.25)["running_h"] == 0


def test_a_generator_that_has_started_runs_its_least_time_unless_the_quiet_hours_begin() -> None:
    fed = {
        "may_run_ratio": 1.0,
        "generator_W": 2000.0,
        "start_ratio": 0.25,
        "stop_ratio": 0.5,
        "least_run_h": 3.0,
    }
    assert work(0.6, **fed)["running_h"] == 0  # not started
    assert work(0.6, running=1.0, **fed)["running_h"] == 2
    assert work(0.6, running=2.0, **fed)["running_h"] == 3
    assert work(0.6, running=3.0, **fed)["running_h"] == 0  # has run long enough
    assert work(0.6, running=1.0, **{**fed, "may_run_ratio": 0.0})["running_h"] == 0


# A bank whose resistance lets next to nothing through: at the very edge of the collapse rounding left no root.
def test_a_load_beyond_the_collapse_gets_what_there_is() -> None:
    a = work(1.0, ac_W=897.0, idle_W=20.0, resistance_ohm=0.046875, discharge_A=142.0, charge_A=0.0)
    assert 0.0 < a["unserved_Wh"] < a["load_Wh"]
    assert a["load_Wh"] - a["unserved_Wh"] == pytest.approx(13.23**2 / (4 * 0.046875), rel=1e-3)  # E^2 / 4 R


@pytest.mark.parametrize("times", [0.01, 0.1, 0.5, 1.0, 2.0])
def test_gassing_follows_copetti_at_every_current(times: float) -> None:
    # Copetti, Lorenzo, Chenlo (1993): 1 - exp(20.73 / (I/I10 + 0.55) (s - 1)); ours squares a sixteenth four times.
    for s in (0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0):
        ours = kept_charge_ratio(
            400.0 * (1.0 - s), 40.0 * times, 1.0, 1.0, GAS_ratio * 0.1, GAS_KNEE_ratio * 40.0
        )
        assert ours == pytest.approx(lead_charge_ratio(s, times, 1.0), abs=0.002)


def test_an_inverter_lets_go_below_its_cut_off_and_comes_back_at_its_own_volts() -> None:
    # By hand: 4 cells at 40 % rest at 13.16 V, less half the gap 13.03; about 900 W are 70 A, which take 1.7 V in 24 mohm: 11.3 V.
    asks = {"dc_W": 50.0, "ac_W": 800.0, "idle_W": 20.0, "resistance_ohm": 0.024, "back_V": 12.5}
    held = work(0.4, cut_V=10.5, **asks)
    assert held["unserved_Wh"] == 0
    assert held["down_V"] == 0
    gone = work(0.4, cut_V=11.8, **asks)
    assert gone["unserved_Wh"] == pytest.approx(gone["load_Wh"] - 50.0)
    assert gone["down_V"] == 12.5
    after = work(
        0.4, cut_V=11.8, down=12.5, **asks
    )  # it stands at 12.9 V without the load: back in the next hour
    assert after["unserved_Wh"] == pytest.approx(gone["unserved_Wh"])
    assert after["down_V"] == 0
    assert work(0.4, cut_V=11.8, down=13.2, **{**asks, "back_V": 13.2})["down_V"] == 13.2


def test_a_cut_off_that_allows_for_the_load_sees_the_bank_at_rest() -> None:
    asks = {"ac_W": 800.0, "resistance_ohm": 0.024, "cut_V": 11.8, "back_V": 12.5}
    assert work(0.4, sag_ratio=0.0, **asks)["unserved_Wh"] == 0
    assert work(0.4, sag_ratio=1.0, **asks)["unserved_Wh"] > 800.0


def test_a_supply_carries_the_loads_of_an_inverter_that_is_down() -> None:
    a = work(0.4, ac_W=500.0, supply_W=1380.0, cut_V=11.8, back_V=14.0, down=14.0)
    assert a["unserved_Wh"] == 0
    assert a["source_Wh"] == pytest.approx(1380.0)


def test_a_management_that_opens_takes_every_load_with_it() -> None:
    a = work(0.4, dc_W=900.0, resistance_ohm=0.024, open_V=11.8, restart_ratio=0.4)
    assert a["unserved_Wh"] == a["load_Wh"]
    assert a["waiting_ratio"] == 0.4
    assert work(0.4, dc_W=900.0, resistance_ohm=0.024, open_V=10.0)["unserved_Wh"] == 0
    # The inverter's higher cut-off comes first and spares the rest.
    b = work(0.4, dc_W=50.0, ac_W=800.0, resistance_ohm=0.024, cut_V=11.8, back_V=12.5, open_V=11.5)
    assert b["unserved_Wh"] == pytest.approx(b["load_Wh"] - 50.0)
