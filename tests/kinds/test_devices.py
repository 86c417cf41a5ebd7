"""What the insides say of the devices that hurt: joins, transfers, back-feed, pins, contacts.

Sources are named beside each; "common practice, no source" where there is none.
"""

import pytest

from ohmwright import kinds
from ohmwright.kinds.base import Inner, Inside, Kind


def kind(name: str) -> Kind:
    found = kinds.find(name)
    assert found is not None
    return found


def inside(name: str, **words: str) -> Inside:
    return kind(name).inside(words)


def conducting(of: Inside, states: dict[str, str], a: str, b: str) -> bool:
    """Whether conductors and closed switches join a and b in these states (variables not named: ordinary)."""
    now = {v.name: states.get(v.name, v.states[0]) for v in of.variables}
    near = {a}
    while True:
        grown = near | {
            other
            for e in of.elements
            if e.kind in ("conductor", "switch") and all(now[n] in s for n, s in e.when)
            for one, other in ((e.a, e.b), (e.b, e.a))
            if one in near
        }
        if grown == near:
            return b in near
        near = grown


def active(of: Inside, states: dict[str, str], role: str) -> list[Inner]:
    now = {v.name: states.get(v.name, v.states[0]) for v in of.variables}
    return [e for e in of.elements if e.role == role and all(now[n] in s for n, s in e.when)]


class TestInverterCharger:
    """Common practice, no source: the neutral-earth relay closes while inverting and opens while passing."""

    def test_its_relay_joins_neutral_and_earth_only_while_it_inverts(self) -> None:
        u = inside(
            "inverter-charger", ac_out_bond="relay", ground_relay="enabled", transfer_poles="line+neutral"
        )
        assert conducting(u, {"": "inverting"}, "ac-out.N", "ac-out.PE")
        assert not conducting(u, {"": "passing"}, "ac-out.N", "ac-out.PE")
        assert not conducting(u, {"": "off"}, "ac-out.N", "ac-out.PE")

    def test_a_relay_that_is_set_off_joins_nothing(self) -> None:
        u = inside("inverter-charger", ac_out_bond="relay", ground_relay="disabled")
        assert not [e for e in u.elements if e.role == "bond"]

    def test_a_setting_nobody_read_is_walked_both_ways(self) -> None:
        u = inside("inverter-charger", ac_out_bond="relay")
        unknown = [v for v in u.variables if v.rule == "unknown" and v.name == "ground-relay"]
        assert len(unknown) == 1
        assert conducting(u, {"": "inverting", "ground-relay": "closed"}, "ac-out.N", "ac-out.PE")
        assert not conducting(u, {"": "inverting", "ground-relay": "open"}, "ac-out.N", "ac-out.PE")

    def test_a_fixed_link_joins_in_every_state(self) -> None:
        u = inside("inverter-charger", ac_out_bond="fitted")
        assert all(conducting(u, {"": s}, "ac-out.N", "ac-out.PE") for s in ("off", "inverting", "passing"))

    def test_two_pole_transfer_keeps_the_inlet_dead_while_it_inverts(self) -> None:
        u = inside("inverter-charger", ac_out_bond="none", transfer_poles="line+neutral")
        for pole in ("L", "N"):
            assert not conducting(u, {"": "inverting"}, f"ac-out.{pole}", f"ac-in.{pole}")
            assert conducting(u, {"": "passing"}, f"ac-out.{pole}", f"ac-in.{pole}")

    def test_a_line_only_transfer_leaves_the_neutral_through(self) -> None:
        u = inside("inverter-charger", ac_out_bond="none", transfer_poles="line")
        assert conducting(u, {"": "inverting"}, "ac-out.N", "ac-in.N")
        assert not conducting(u, {"": "inverting"}, "ac-out.L", "ac-in.L")

    def test_unknown_transfer_poles_are_walked_both_ways(self) -> None:
        u = inside("inverter-charger", ac_out_bond="none")
        assert conducting(u, {"": "inverting", "transfer-poles": "closed"}, "ac-out.N", "ac-in.N")
        assert not conducting(u, {"": "inverting", "transfer-poles": "open"}, "ac-out.N", "ac-in.N")

    @pytest.mark.parametrize("state", ["off", "inverting", "passing"])
    def test_the_earth_runs_through_in_every_state(self, state: str) -> None:
        u = inside("inverter-charger")
        assert conducting(u, {"": state}, "ac-in.PE", "ac-out.PE")
        assert conducting(u, {"": state}, "ac-out.PE", "case.PE")

    def test_it_inverts_or_charges_and_never_both(self) -> None:
        u = inside("inverter-charger")
        assert active(u, {"": "inverting"}, "inverter")
        assert not active(u, {"": "inverting"}, "charger")
        assert active(u, {"": "passing"}, "charger")
        assert not active(u, {"": "passing"}, "inverter")
        assert not active(u, {"": "off"}, "charger") + active(u, {"": "off"}, "inverter")

    def test_a_split_one_has_two_legs_half_a_turn_apart(self) -> None:
        u = inside("inverter-charger", split="yes")
        assert [e.out_a for e in active(u, {"": "inverting"}, "inverter")] == ["ac-out.L1"]
        assert [e.out_a for e in active(u, {"": "inverting"}, "inverter-half-turn")] == ["ac-out.L2"]

    def test_its_aux_contact_is_open_until_something_closes_it(self) -> None:
        u = inside("inverter-charger")
        assert not conducting(u, {}, "aux.line", "aux.load")
        assert conducting(u, {"aux": "closed"}, "aux.line", "aux.load")


class TestControllers:
    def test_a_switching_controller_is_no_converter_and_lets_the_bank_reach_the_array(self) -> None:
        u = inside("pv-controller-pwm")
        assert not [e for e in u.elements if e.kind == "converter"]
        assert conducting(u, {}, "bat.+", "pv.+")

    def test_a_tracking_controller_conducts_no_plus(self) -> None:
        u = inside("pv-controller")
        assert not conducting(u, {}, "bat.+", "pv.+")
        assert conducting(u, {}, "bat.-", "pv.-")
        assert not conducting(inside("pv-controller", negative="separate"), {}, "bat.-", "pv.-")

    def test_an_isolated_charger_joins_nothing_and_a_common_one_shares_its_minus(self) -> None:
        isolated = inside("dcdc-charger", isolated="yes")
        assert not [e for e in isolated.elements if e.kind == "conductor"]
        common = inside("dcdc-charger", isolated="no").elements[0]
        assert common.b == common.out_b == "common.-"

    def test_a_charger_with_a_driver_waits_for_it(self) -> None:
        u = inside("dcdc-charger", run_by="engine-running")
        assert not active(u, {}, "dcdc")
        assert active(u, {"run": "running"}, "dcdc")


class TestSwitching:
    def test_a_two_pole_changeover_takes_the_neutral_along(self) -> None:
        q = inside("changeover", poles="2")
        assert not conducting(q, {"": "1"}, "1.N", "2.N")
        assert conducting(q, {"": "1"}, "1.N", "common.N")

    def test_a_one_pole_changeover_joins_the_neutrals(self) -> None:
        assert conducting(inside("changeover", poles="1"), {"": "0"}, "1.N", "2.N")

    @pytest.mark.parametrize("position", ["1", "0", "2"])
    def test_a_changeover_never_joins_its_two_lines(self, position: str) -> None:
        assert not conducting(inside("changeover", poles="2"), {"": position}, "1.L", "2.L")

    @pytest.mark.parametrize("position", ["a", "b", "off"])
    def test_a_selector_never_joins_its_two_ways(self, position: str) -> None:
        assert not conducting(inside("selector"), {"": position}, "a", "b")

    def test_a_reverser_turns_the_motor_round(self) -> None:
        k = inside("reverser")
        assert conducting(k, {"": "up"}, "line.+", "motor.A")
        assert conducting(k, {"": "down"}, "line.+", "motor.B")
        for state in ("off", "up", "down"):
            assert not conducting(k, {"": state}, "line.+", "line.-")

    def test_a_contactor_closes_by_its_coil_alone(self) -> None:
        k = inside("contactor")
        assert [(v.origin, v.rule) for v in k.variables] == [("automatic", "coil:coil")]
        assert not conducting(k, {}, "line", "load")

    def test_a_fuse_always_conducts_and_a_breaker_until_a_hand_opens_it(self) -> None:
        assert conducting(inside("fuse"), {}, "line", "load")
        assert not conducting(inside("breaker"), {"": "open"}, "line", "load")

    def test_more_than_two_poles_are_refused_on_direct_current(self) -> None:
        with pytest.raises(ValueError, match="poles-in-series"):
            kind("breaker").inside({"poles": "3", "current": "dc"})


class TestSupplies:
    def test_a_post_of_unknown_earthing_is_walked_both_ways(self) -> None:
        post = inside("supply-post")
        assert any(v.name == "system" and v.rule == "unknown" for v in post.variables)
        assert conducting(inside("supply-post", system="tn"), {}, "N", "PE")
        assert not conducting(inside("supply-post", system="it"), {}, "N", "PE")

    def test_pins_and_sockets_are_where_they_belong(self) -> None:
        """IEC 60309 practice: the inlet has the pins, what supplies has the socket."""
        plugs = {
            n: {p.plug for p in inside(n).ports if p.plug}
            for n in ("shore-inlet", "supply-post", "generator", "outlet")
        }
        assert plugs == {
            "shore-inlet": {"pins"},
            "supply-post": {"socket"},
            "generator": {"socket"},
            "outlet": {"socket"},
        }

    def test_a_generator_is_a_source_only_while_it_runs(self) -> None:
        g = inside("generator", bond="fitted")
        assert not active(g, {}, "generator")
        assert active(g, {"run": "running"}, "generator")

    def test_a_transformer_passes_energy_both_ways_and_no_conductor(self) -> None:
        t = inside("isolation-transformer")
        assert all(e.both_ways for e in t.elements if e.kind == "converter")
        for a in ("primary.L", "primary.N"):
            for b in ("secondary.L", "secondary.N", "secondary.PE", "screen.PE"):
                assert not conducting(t, {}, a, b)
        assert not conducting(t, {}, "screen.PE", "secondary.PE")

    def test_a_surge_device_conducts_to_earth_only_when_struck(self) -> None:
        p = inside("surge-dc")
        assert not conducting(p, {}, "+", "PE")
        assert conducting(p, {"": "struck"}, "+", "PE")
        assert p.variables[0].origin == "fixed"


class TestPanels:
    def test_a_split_panel_names_the_poles_of_its_ways(self) -> None:
        panel = kind("panel-ac").inside(
            {
                "split": "yes",
                "way_count": "4",
                "way-1": "L1",
                "way-2": "L2",
                "way-3": "L1+L2",
                "way-4": "L1+L2+N",
            }
        )
        poles = {p.name: p.poles for p in panel.ports}
        assert poles["1"] == ("L1", "N", "PE")
        assert poles["2"] == ("L2", "N", "PE")
        assert poles["3"] == ("L1", "L2", "PE")
        assert poles["4"] == ("L1", "L2", "N", "PE")

    def test_a_way_with_poles_that_no_panel_has_is_refused(self) -> None:
        with pytest.raises(ValueError, match="way 1"):
            kind("panel-ac").inside({"split": "yes", "way-1": "L3"})

    def test_neutral_and_earth_bars_are_apart_unless_a_link_was_found(self) -> None:
        assert not conducting(inside("panel-ac"), {}, "feed.N", "feed.PE")
        assert conducting(inside("panel-ac", bond="fitted"), {}, "feed.N", "feed.PE")

    @pytest.mark.parametrize("count", ["0", "61", "many", "-1", "1.5"])
    def test_a_count_that_is_none_is_refused(self, count: str) -> None:
        with pytest.raises(ValueError, match="whole number"):
            kind("panel-dc").inside({"way_count": count})


class TestBatteries:
    def test_management_inside_takes_the_battery_off(self) -> None:
        b = inside("battery", chemistry="lfp", bms="inside")
        assert active(b, {}, "cell")
        assert not active(b, {"bms": "open"}, "cell")

    def test_management_outside_leaves_the_cells_on_and_needs_a_lead(self) -> None:
        b = inside("battery", chemistry="lfp", bms="outside")
        assert not b.variables
        assert [p.name for p in b.ports] == ["", "bms"]

    def test_lead_acid_has_no_management(self) -> None:
        assert not inside("battery", chemistry="agm").variables

    def test_an_outside_management_holds_until_it_opens(self) -> None:
        bm = inside("bms-outside", batteries="3")
        assert conducting(bm, {"": "warn"}, "supply.+", "hold.+")
        assert not conducting(bm, {"": "open"}, "supply.+", "hold.+")
        assert [p.name for p in bm.ports if p.name.startswith("b")] == ["b1", "b2", "b3"]
