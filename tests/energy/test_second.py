"""Banks beside the house bank: which loads hang on them, and their store through the year, worked by hand."""

from dataclasses import replace

import numpy as np
import pytest

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.beside import short_beside, stores_block
from ohmwright.energy.chance import many_years
from ohmwright.energy.from_rig import plan_of
from ohmwright.energy.kernel import Kernel
from ohmwright.energy.likely import second_flat
from ohmwright.energy.one_year import OneYear, work_out
from ohmwright.energy.second import beside_of, second_banks, second_notes
from ohmwright.energy.spread import Spread, factors_of
from ohmwright.energy.topology import Wiring
from ohmwright.energy.types import SecondBank
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.shelf.load import Shelf
from ohmwright.sky.spots import spot_at
from ohmwright.sky.weather import normal_year

RIG = """
ohmwright: 1
job: {{id: test}}
host: {{kind: boat, places: {{locker: {{regime: heated}}}}}}
parts:
  B:  {{is: battery, at: locker, chemistry: lfp, bms: inside, capacity: 200 Ah, nominal-voltage: 12.8 V, usable: 90 %}}
  SB: {{is: battery, at: locker, chemistry: agm, capacity: 100 Ah, nominal-voltage: 12 V, self-discharge: 4 %/month}}
  PD: {{is: panel-dc, at: locker, way-count: 2, ways: {{1: 15 A, 2: 15 A}}}}
  PN: {{is: panel-dc, at: locker, way-count: 2, ways: {{1: 15 A, 2: 15 A}}}}
  FN: {{is: fuse, at: locker, rated: 30 A}}
  QN: {{is: selector, at: locker}}
  U5: {{is: dcdc-charger, at: locker, isolated: yes, output-current: 20 A, efficiency: 80 %}}
use:
  loads:
    lights: {{fed: PD.1, energy: 240 Wh/day}}
    radio:  {{fed: PN.1, energy: 120 Wh/day}}
  stays:
    - {{span: 01-01..12-31, place: Brest, mode: anchor{stay}}}
runs:
  W1: {{from: B.+, to: PD.feed.+, cable: 16 mm2, length: 1 m}}
  W2: {{from: PD.feed.-, to: B.-, cable: 16 mm2, length: 1 m}}
  W4: {{from: PN.feed.-, to: B.-, cable: 6 mm2, length: 1 m}}
  W5: {{from: SB.-, to: B.-, cable: 16 mm2, length: 1 m}}
{runs}
"""
OWN = """  W3: {from: SB.+, to: FN.line, cable: 6 mm2, length: 1 m}
  W6: {from: FN.load, to: PN.feed.+, cable: 6 mm2, length: 1 m}
"""
EITHER = """  W3: {from: SB.+, to: FN.line, cable: 6 mm2, length: 1 m}
  W6: {from: FN.load, to: QN.b, cable: 6 mm2, length: 1 m}
  W7: {from: B.+, to: QN.a, cable: 6 mm2, length: 1 m}
  W8: {from: QN.common, to: PN.feed.+, cable: 6 mm2, length: 1 m}
"""
FILLED = (
    OWN
    + """  W9: {from: B.+, to: U5.in.+, cable: 6 mm2, length: 1 m}
  W10: {from: U5.out.+, to: SB.+, cable: 6 mm2, length: 1 m}
"""
)


def rig_of(runs: str, stay: str = "") -> Rig:
    return read_rig(RIG.format(runs=runs, stay=stay), "test.yaml", Shelf())


def year(rig: Rig) -> OneYear:
    return work_out(plan_of(rig), [normal_year(spot_at(48.4, -4.5))])


def told(runs: str, stay: str = "") -> SecondBank:
    rig = rig_of(runs, stay)
    return second_banks(rig, year(rig))[0]


def house_Wh(runs: str) -> float:
    """What the house bank's loads ask on a day."""
    day = plan_of(rig_of(runs)).stays[0].days[5]
    return sum(day.dc_W)


def test_a_load_hangs_on_the_bank_that_its_plus_side_leads_to() -> None:
    assert Wiring.of(rig_of(OWN)).beside == {"radio": "SB"}
    assert Wiring.of(rig_of(EITHER)).beside == {}  # a selector: the house bank feeds it too
    assert Wiring.of(rig_of(FILLED)).carried == {"SB": pytest.approx(0.8)}


def test_the_house_bank_carries_what_hangs_on_it_and_what_it_fills() -> None:
    own = house_Wh(EITHER) - 360.0  # what its management draws
    assert house_Wh(OWN) == pytest.approx(240.0 + own)
    assert house_Wh(FILLED) == pytest.approx(240.0 + 120.0 / 0.8 + own)  # through a charger of 80 %


# By hand: 100 Ah at 12 V down to one half are 600 Wh; 120 Wh a day and 4 % of the charge a month (about 1.3 Wh a day) last
# 4.9 days, and from then on every day lacks. No engine: the bank of the year before is empty at the turn of the year.
def test_without_an_engine_the_bank_stands_at_its_floor_and_its_loads_lack() -> None:
    bank = told(OWN)

    assert bank.carries == ("radio",)
    assert bank.load_Wh_per_day == pytest.approx(120.0)
    assert bank.lowest_ratio < 0.5  # self-discharge goes on below the floor
    assert bank.days_short == 365
    assert bank.balance_Wh == pytest.approx(0.0, abs=1e-6)


# By hand: an hour of engine puts 0.2 of 1,200 Wh in, 85 % of it stay: 204 Wh for the 120 that the radio takes, so it is full
# after each run and falls by the radio between: 120 / 1,200 and a little self-discharge.
def test_an_hour_of_engine_a_day_keeps_it_up() -> None:
    bank = told(OWN, ", driving: 1 h")

    assert bank.days_short == 0
    assert bank.engine_h_per_day == pytest.approx(1.0)
    assert bank.lowest_ratio == pytest.approx(1.0 - 120 / 1200, abs=0.02)
    assert bank.balance_Wh == pytest.approx(0.0, abs=1e-6)


# By hand: a quarter of an hour keeps 51 Wh of the 121 that are asked, so the loads get less than half of what they want.
def test_too_little_engine_leaves_days_short() -> None:
    bank = told(OWN, ", driving: 0.25 h")

    assert bank.days_short > 300
    assert bank.balance_Wh == pytest.approx(0.0, abs=1e-6)


# By hand: 600 Wh for 120 Wh a day are five days.
def test_what_can_be_switched_over_is_told_as_a_reserve() -> None:
    rig = rig_of(EITHER)
    one = year(rig)
    bank = second_banks(rig, one)[0]

    assert bank.reserve_for == ("radio",)
    assert bank.reserve_h == pytest.approx(120.0)
    assert "radio for 120 h" in second_notes(rig, one, (bank,))[0]
    assert bank.carries == ()


def test_a_bank_filled_from_the_house_bank_is_taken_as_full() -> None:
    bank = told(FILLED)

    assert bank.filled_by_house
    assert bank.lowest_ratio == 1.0
    assert bank.days_short == 0


# The made years use the same hour: with loads as written, and no weather in it, each is the typical year.
def test_the_made_years_of_a_second_bank_are_the_typical_year_where_loads_are_as_written() -> None:
    rig = rig_of(OWN, ", driving: 0.25 h")
    one = year(rig)
    (bank,) = beside_of(rig, one)
    plain = short_beside(stores_block, (bank,), np.ones((2, 365)), 0)["SB"]

    assert plain[0].sum() == plain[1].sum() == second_banks(rig, one)[0].days_short


def test_lanes_of_second_banks_are_the_plain_loop_and_do_not_depend_on_their_neighbours(
    kernel: Kernel,
) -> None:
    rig = rig_of(OWN, ", driving: 0.5 h")
    banks = beside_of(rig, year(rig))
    loads = factors_of(Spread(), 5, 0, 6)
    out, slow = np.empty((6, 365)), np.empty((6, 365))
    stores_block(banks[0].wants_W, banks[0].engine_ratio, loads, banks[0].own, 180, slow)
    kernel.stores(banks[0].wants_W, banks[0].engine_ratio, loads, banks[0].own, 180, out)

    assert np.array_equal(out, slow)
    alone = short_beside(kernel.stores, banks, loads[4:5], 180)["SB"]
    assert np.array_equal(alone[0], out[4] > 1.0)


def test_a_night_on_which_the_second_bank_is_flat_is_lost(kernel: Kernel) -> None:
    rig = rig_of(OWN, ", driving: 0.5 h")
    one = year(rig)
    plan = replace(one.plan, bank=replace(one.plan.bank, capacity_Ah=1e5, floor_ratio=0.0))  # never empty
    spots = [s.spot for s in one.skies]
    without = many_years(kernel, plan, spots, 6, 5, spread=Spread(), plugged=False, workers=1)
    with_it = many_years(
        kernel, plan, spots, 6, 5, spread=Spread(), beside=beside_of(rig, one), plugged=False, workers=1
    )

    assert np.array_equal(with_it.short(), without.short() | with_it.beside_short["SB"])
    assert (with_it.nights_lost() > without.nights_lost()).any()
    assert second_flat(with_it)["SB"]["p90"] <= with_it.nights_lost().max()
    again = plans_abreast(SameYears(kernel, with_it, spots, workers=1), [plan], 6)
    assert np.array_equal(again.nights_lost[0], with_it.nights_lost())


# What nothing is known to charge is told as unknown, not counted as dark nights; what the house bank fills it carries.
def test_a_second_bank_that_cannot_be_told_counts_no_night() -> None:
    for runs, stay in ((OWN, ""), (FILLED, ", driving: 1 h"), (EITHER, ", driving: 1 h")):
        rig = rig_of(runs, stay)
        assert beside_of(rig, year(rig)) == ()
