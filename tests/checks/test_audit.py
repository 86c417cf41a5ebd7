"""What an inspector's reading of the rules found and mended, each with the case that showed it.

Arithmetic stands beside each case; limits are those of the pages in `standards`.
"""

import pytest
from tests.checks.test_on_rigs import Edit, U, blind, drop, found, part, rules_of, study_of, swap

from ohmwright.checks.array import unequal_in_parallel
from ohmwright.checks.battery import autonomy, fuse_distance, lead_charge_rate
from ohmwright.checks.carrying import Wire, carries
from ohmwright.checks.monitor import shunt_rating
from ohmwright.checks.place import lead_gas
from ohmwright.checks.types import Finding
from ohmwright.checks.wires import wire_of
from ohmwright.physics import sums
from ohmwright.physics.weights import tongue_ratio
from ohmwright.working import Figure, Origin, figure, known

PAGE = Origin("source", "d1", "p2")


def of(value: float, unit: str) -> Figure:
    return figure(value, unit, PAGE)


def said(rig: str, number: str, subject: str, *edits: Edit) -> Finding:
    all_said = found(study_of(rig, edits), number)
    return next(f for f in all_said if f.subject == subject)


class TestB18CountsPanels:
    def test_blade_fuses_of_a_panel_near_the_bank_are_judged(self) -> None:
        panel = swap("PD:   {is: panel-dc-12way-breakers", "PD:   {is: panel-dc-12way")
        blades = said("built", "B18", "PD", panel)  # 2 kA at 32 V, 13 V of bank behind 3 m of 6 AWG

        assert (blades.verdict, blades.severity) == ("fail", "danger")
        assert said("built", "B18", "PD").verdict == "pass"

    def test_without_its_rating_it_cannot_be_told(self) -> None:
        f = said("built", "B18", "PD", part("PD", f"interrupt: {U}", f"interrupt-2: {U}"))

        assert (f.verdict, f.missing) == ("cannot-tell", ("PD.interrupt",))

    def test_what_chargers_push_is_counted(self) -> None:
        study = study_of("built")
        worst = max(f.max_A or 0.0 for t, f in study.faults.items() if t.startswith("PD."))

        assert said("built", "B18", "PD").value == pytest.approx(worst / 1000, rel=1e-6)


class TestB6CountsEngines:
    def test_an_alternator_straight_on_lithium_is_a_charging_path_without_a_cut(self) -> None:
        # the van's bank with a management that cuts nothing: the relay joins the alternator to it
        f = said("van", "B6", "B", part("B", "bms: none"))

        assert f.verdict == "fail"
        assert "AL" in f.message


LEADS = swap("post-length: 0.03 m", "post-length: 0.3 m")


class TestB17AndSheaths:
    def test_bare_it_may_be_seven_inches_on_a_boat(self) -> None:
        assert said("built", "B17", "B.1", rules_of("us-boat"), LEADS).verdict == "fail"

    def test_in_a_sheath_all_the_way_it_may_be_six_feet(self) -> None:
        sheath = swap("link: 4/0 AWG 105C, link-length", "link: 4/0 AWG 105C sheathed, link-length")
        f = said("built", "B17", "B.1", rules_of("us-boat"), LEADS, sheath)

        assert (f.verdict, f.limit) == ("pass", fuse_distance.longest("us-boat", petrol=False, sheathed=True)[0].value)  # fmt: skip


class TestB17TellsEveryWay:
    def test_a_panel_far_from_the_post_stands_beside_ways_without_a_device(self) -> None:
        bare = swap("W09: {from: B.+, to: FD.line, cable: 10 mm2 red, length: 0.5 m (f)}", "W09: {from: B.+, to: PD.feed.+, cable: 10 mm2 red, length: 3 m}")  # fmt: skip
        f = said("van", "B17", "B.1", bare, drop("W10:"), drop("FD:"))

        assert "no device between B.1 and M.1.1" in f.message
        assert "3.00 m before PD.1" in f.message


class TestB10CountsWhatTheBankGives:
    def test_losses_and_idling_of_the_inverter_count(self) -> None:
        # 1,910 Wh behind 90 % and 20 W all day: 1910/0.9 + 480 = 2602 Wh
        assert sums.through_inverter_Wh_per_day(1910, 0.9, 20) == pytest.approx(2602.2, abs=0.1)

    def test_a_day_from_the_bank_is_more_than_a_day_of_loads(self) -> None:
        study = study_of("built")
        loads, bank = autonomy.daily_Wh(study)[0], autonomy.from_bank_Wh(study)[0]
        assert loads is not None
        assert bank is not None

        assert bank.value > loads.value + 20 * 24

    def test_the_cold_takes_its_part(self) -> None:
        # 5 degC in the box: 20 K under 25, 0.4 % each: 92 % of the capacity
        warm = said("built", "B10", "B", swap("size: 1.1 x 0.6 x 0.3 m, coldest: 5 degC (o)", "size: 1.1 x 0.6 x 0.3 m, coldest: 25 degC (o)"))  # fmt: skip
        cold = said("built", "B10", "B")
        assert warm.value is not None

        assert cold.value == pytest.approx(0.92 * warm.value)

    def test_a_load_that_tells_nothing_leaves_it_open(self) -> None:
        f = said("built", "B10", "B", swap("pump:      {fed: PD.5, power: 72 W, hours: 0.5 h,", "pump:      {fed: PD.5, power: 72 W,"))  # fmt: skip

        assert (f.verdict, f.missing) == ("cannot-tell", ("pump.hours",))


class TestA9:
    def test_a_string_of_unlike_modules_adds_their_own_volts(self) -> None:
        two = swap("laid: {1.1: 4.00 0.20 m", "but: {1.2: {is: module-200w}}, laid: {1.1: 4.00 0.20 m")
        alike, mixed = said("built", "A9", "M.1"), said("built", "A9", "M.1", two)
        assert alike.value is not None
        assert mixed.value is not None

        assert mixed.value < alike.value - 5  # one module of 20 V instead of 31 V

    def test_modules_glued_down_are_hotter(self) -> None:
        f = said("built", "A9", "M.1", swap("gap: 30 mm", "gap: 5 mm"))
        apart = said("built", "A9", "M.1")
        assert f.value is not None
        assert apart.value is not None

        assert f.value < apart.value
        assert "55" in " ".join(s.substituted for s in f.steps[-1].chain())


class TestC3:
    def test_the_home_run_of_an_array_has_its_two_per_cent(self) -> None:
        # 12.5 m of 10 AWG out and back at 75 degC, 13.2 A, 93 V: 1.4 %
        f = said("built", "C3", "M")

        assert (f.verdict, f.limit) == ("pass", 2)
        assert f.value == pytest.approx(1.4, abs=0.05)
        assert said("quoted", "C3", "M").verdict == "fail"
        assert said("built", "C3", "M", swap("cable: pv 10 AWG, length: 12 m (m 2026-04-02)", f"cable: pv 10 AWG, length: {U}")).missing == ("W01.length",)  # fmt: skip


class TestC6:
    def test_a_device_without_a_rating_is_asked_for(self) -> None:
        f = next(
            f for f in found(study_of("built", (part("F6", f"rated: {U}"),)), "C6") if f.subject == "W20"
        )

        assert (f.verdict, f.missing) == ("cannot-tell", ("F6.rated",))


class TestD8:
    def test_a_limit_in_the_settings_does_not_hold_back_what_passes_through(self) -> None:
        f = said(
            "built", "D8", "U2", part("U2", "transfer-current: 28 A")
        )  # 24 A in its settings, 30 A at the post

        assert (f.verdict, f.value) == ("fail", 30)

    def test_a_post_of_unknown_rating_leaves_it_open(self) -> None:
        f = said("built", "D8", "U2", part("SUP", f"rated: {U}"))

        assert f.verdict == "cannot-tell"


class TestD7:
    def test_hot_air_takes_its_part(self) -> None:
        # 0.2 % a kelvin above 25 degC: 2 % at 35 degC
        assert sums.hot_air_ratio(0.002, 35) == pytest.approx(0.02)
        assert sums.hot_air_ratio(0.002, 10) == 0

    def test_a_load_of_poor_power_factor_asks_for_more_volt_amperes(self) -> None:
        poor = swap("fridge:     {fed: PA.2,", "fridge:     {fed: PA.2, power-factor: 0.2,")
        plain, loaded = said("cabin", "D7", "G1"), said("cabin", "D7", "G1", poor)
        assert plain.value is not None
        assert loaded.value is not None

        assert loaded.value >= plain.value


class TestD4OnBoats:
    def test_the_wiring_behind_the_inlet_wants_its_device(self) -> None:
        bare = said("boat", "D4", "J1", rules_of("us-boat"), swap("Q3: {is: rcbo-16a-30ma-type-a-2p", "Q3: {is: breaker-16a-230v-2p"))  # fmt: skip

        assert said("boat", "D4", "J1", rules_of("us-boat")).verdict == "pass"
        assert (bare.verdict, bare.severity) == ("fail", "danger")


class TestE2:
    def test_a_charger_of_unknown_volts_leaves_the_vents_open(self) -> None:
        judged = lead_gas.judge(6, of(200, "Ah"), Figure(20, "mA/Ah", 20, 20, PAGE), of(4000, "mm2"), limited=None, missing=("settings.U1.absorption",))  # fmt: skip

        assert judged.verdict == "cannot-tell"
        assert "not written" in judged.message
        assert said("lead", "E2", "B", swap("U1: {absorption: 14.6 V, float: 13.5 V}", "U1: {float: 13.5 V}")).missing == ("settings.U1.absorption",)  # fmt: skip


class TestF6:
    def test_a_surge_may_reach_the_rating(self) -> None:
        assert shunt_rating.judge_surge(of(500, "A"), of(500, "A"), 2).verdict == "pass"
        assert shunt_rating.judge_surge(of(500.001, "A"), of(500, "A"), 2).verdict == "fail"
        assert any("for 2 s" in f.message for f in found(study_of("built"), "F6"))


class TestF10:
    def test_an_array_alone_is_no_pass_for_a_winter(self) -> None:
        f = said("quoted", "F10", "B")

        assert (f.verdict, f.severity) == ("warn", "note")
        assert "Only the array" in f.message


class TestB25:
    def test_a_counter_without_an_alarm_is_asked(self) -> None:
        f = said("built", "B25", "R1", swap(", alarm: 12.4 V", ""))

        assert (f.verdict, f.missing) == ("cannot-tell", ("settings.R1.alarm",))


class TestA25:
    def test_a_bank_above_touch_voltage_is_asked_for_its_covers(self) -> None:
        f = said("cabin", "A25", "B", part("B", "charge-voltage-max: 61 V"))

        assert (f.verdict, f.severity) == ("cannot-tell", "danger")
        assert not [x for x in found(study_of("cabin"), "A25") if x.subject == "B"]


class TestB23:
    def test_the_float_voltage_is_judged_as_well(self) -> None:
        wrong = swap("U1: {absorption: 14.2 V, float: 13.5 V, end-current: 10 A", "U1: {absorption: 14.2 V, float: 13.9 V, end-current: 10 A")  # fmt: skip
        floats = [
            f for f in found(study_of("built", (wrong,)), "B23") if f.subject == "U1" and "Float" in f.message
        ]

        assert [f.verdict for f in floats] == ["fail"]


class TestB2AndB3OfAWindlass:
    def test_a_stall_is_the_motors_current_whatever_the_volts(self) -> None:
        # 350 A and what else runs, on two batteries of 200 A: 175 A each and a little
        f = said("boat", "B2", "WL-stalls")

        assert (f.verdict, f.limit) == ("pass", 200)
        assert f.value == pytest.approx(175.5, abs=1.0)

    def test_with_one_battery_out_the_house_goes_dark(self) -> None:
        stalled = [f for f in found(study_of("boat"), "B3") if "stalled" in f.message]

        assert [f.verdict for f in stalled] == ["fail"]
        assert stalled[0].value == pytest.approx(351, abs=2)

    def test_an_unknown_stall_is_not_made_up(self) -> None:
        assert not [f for f in found(study_of("boat", (part("WL", f"stall-current: {U}"),)), "B2") if "stalls" in f.subject]  # fmt: skip


class TestC14:
    def test_untinned_cores_in_a_sheath_count_on_a_boat(self) -> None:
        f = said("boat", "C14", "W81", swap("W81: {from: Q3.load, to: T1.primary, cable: 2 x 4 mm2 tinned 90C", "W81: {from: Q3.load, to: T1.primary, cable: 2 x 4 mm2 90C"))  # fmt: skip

        assert (f.verdict, f.severity) == ("fail", "fails")


class TestD18:
    def test_the_file_says_who_may_do_the_work(self) -> None:
        hands = swap(", lawful-hands: registered electrical contractor", "")

        assert said("cabin", "D18", "rig").verdict == "pass"
        assert said("cabin", "D18", "rig", hands).missing == ("job.lawful-hands",)


class TestD2:
    def test_two_breakers_with_a_plate_between_them_do_not_meet(self) -> None:  # D2-6
        plate = swap("by: same part", "by: plate")

        assert {f.verdict for f in found(study_of("cabin", (plate,)), "D2")} == {"pass"}

    def test_a_generator_beside_an_inverter_on_one_bar_meets_it(self) -> None:  # D2-9
        beside = swap("W34: {from: Q3.load, to: Q5.2", "W34: {from: Q3.load, to: Q5.1")

        assert "fail" in {f.verdict for f in found(study_of("cabin", (beside,)), "D2")}
        assert said("cabin", "D24", "U2", part("U2", "helps-supply: yes"), blind).verdict == "cannot-tell"


class TestC1CountsAirAndNeighbours:
    # An electricians' exam text: 8 AWG THHN (40 A at 60 degC) with four conductors in one raceway: 40 x 0.8 = 32 A.
    def test_four_loaded_conductors_together_carry_four_fifths(self) -> None:
        alone = carries(Wire(8.37, 60, alternating=True, beside_count=3), "us-cabin", "least")
        four = carries(Wire(8.37, 60, alternating=True, beside_count=4), "us-cabin", "least")
        assert alone is not None
        assert four is not None

        assert alone.ampacity.value == 40
        assert four.ampacity.value == pytest.approx(32)
        assert "4 loaded conductors together" in four.told

    # 33 CFR 183.435(b): three conductors of 50 V or more in a bundle, 0.7; IEC 60364-5-52 Table B.52.17: two circuits 0.8, three 0.7.
    @pytest.mark.parametrize(("rules", "count", "factor"), [("us-boat", 2, 1), ("us-boat", 3, 0.7), ("us-boat", 6, 0.6), ("eu-boat", 2, 1), ("eu-boat", 4, 0.8), ("eu-cabin", 6, 0.7)])  # fmt: skip
    def test_each_rule_set_has_its_own_factor(self, rules: str, count: int, factor: float) -> None:
        alone = carries(Wire(10.0, 70, alternating=True), rules, "least")
        beside = carries(Wire(10.0, 70, alternating=True, beside_count=count), rules, "least")
        assert alone is not None
        assert beside is not None

        assert beside.ampacity.value == pytest.approx(factor * alone.ampacity.value)

    # NFPA 70 310.15(B): sqrt((105 - 40)/(105 - 30)) = 0.931: 445 A become 414 A.
    def test_warm_air_takes_its_part_where_the_table_is_a_shop_rule(self) -> None:
        warm = Wire(107.2, 105, ambient=of(40, "degC"))
        shop, law = carries(warm, "us-vehicle", "least"), carries(warm, "us-boat", "least")
        assert shop is not None
        assert law is not None

        assert shop.ampacity.value == pytest.approx(414.3, abs=0.1)
        assert "in air of 40 °C" in shop.told
        assert law.ampacity.value == 445  # the law's table knows engine spaces only

    def test_air_as_hot_as_the_insulation_has_no_row(self) -> None:
        assert carries(Wire(107.2, 60, ambient=of(60, "degC")), "us-vehicle", "least") is None

    def test_conductors_are_counted_on_the_way_that_they_share(self) -> None:
        study = study_of("boat")
        wires = {n: wire_of(study, n) for n in ("W85.L", "W80.L")}

        assert {n: w.beside_count for n, w in wires.items() if w is not None} == {"W85.L": 6, "W80.L": 2}


class TestC1WithoutADeviceOnAlternatingCurrent:
    def test_an_inverter_that_gives_more_than_the_cable_bears_fails(self) -> None:
        # 6 kW at 120 V a leg: 50 A from the inverter, 10 AWG bears 30
        thin = swap("W7: {from: U2.ac-out, to: PA.feed, cable: 4 x 6 AWG", "W7: {from: U2.ac-out, to: PA.feed, cable: 4 x 10 AWG")  # fmt: skip
        f = said("split", "C1", "W7.L1", thin)

        assert (f.verdict, f.severity) == ("fail", "danger")
        assert "50 A from U2 at the most" in f.message

    def test_an_inverter_of_unknown_power_leaves_it_open(self) -> None:
        f = said("split", "C1", "W7.L1", part("U2", f"power: {U}", f"power-40: {U}", f"apparent-power: {U}"))

        assert (f.verdict, f.missing) == ("cannot-tell", ("U2.power",))

    def test_behind_a_transformer_the_device_before_it_holds(self) -> None:
        f = said("boat", "C1", "W82.L")
        larger = said("boat", "C1", "W82.L", part("Q3", "rated: 40 A"))

        assert (f.verdict, f.value) == ("pass", 16)
        assert (larger.verdict, larger.severity) == ("fail", "danger")


class TestB26CountsControllersThatOnlySwitch:
    @pytest.mark.parametrize(("told", "verdict"), [("survives", "pass"), ("fails", "fail"), ("unknown", "cannot-tell")])  # fmt: skip
    def test_the_arrays_volts_come_through_when_the_battery_opens(self, told: str, verdict: str) -> None:
        f = said("van", "B26", "U1", part("U1", f"battery-loss: {told}"))

        assert f.verdict == verdict
        assert f.severity == "fails" or verdict == "pass"


class TestC10:
    def test_a_small_tap_on_a_stud_is_not_what_cools_it(self) -> None:
        # 4/0 AWG, and beside it 14 AWG to the alarm's fuse.
        assert said("quoted", "C10", "F1").verdict == "pass"

    def test_a_stud_whose_largest_conductor_is_too_small_fails(self) -> None:
        thin = swap(
            "W36: {from: B.+,      to: F1.line, cable: 4/0 AWG",
            "W36: {from: B.+,      to: F1.line, cable: 2 AWG",
        )

        assert said("quoted", "C10", "F1", thin).verdict == "fail"


class TestDerivations:
    def test_rates_and_spreads_are_worked_step_by_step(self) -> None:
        rate = lead_charge_rate.judge(20, 225, flooded=True)  # 20/225 = 0.0889
        spread = unequal_in_parallel.judge((20.2, 19.0))  # 100 x 1.2/20.2 = 5.94 %

        assert rate.value == pytest.approx(0.0889, abs=1e-4)
        assert spread.value == pytest.approx(5.9406, abs=1e-4)
        assert rate.steps
        assert spread.steps


# A trailer engineers' rule of thumb, from a trade article: 1,025 lb on the tongue and 7,200 lb on the wheels are 12.46 %.
@pytest.mark.parametrize(("tongue", "wheels", "per_cent"), [(1025, 7200, 12.46), (300, 8200, 3.53)])
def test_tongue_over_laden_trailer(tongue: float, wheels: float, per_cent: float) -> None:
    assert 100 * tongue_ratio(tongue, tongue + wheels) == pytest.approx(per_cent, abs=0.005)


def test_a_figure_that_is_not_known_stays_so() -> None:
    assert known(study_of("built", (part("F6", f"rated: {U}"),)).rig.parts["F6"].figure("rated")) is None
