"""What a rig file says is what the rig holds."""

import re
from collections.abc import Callable

import pytest

from ohmwright.rig.model import Rig
from ohmwright.rig.ports import ports_of
from ohmwright.working import Absent, Figure, NotThere, Unknown

Read = Callable[[str], Rig]


def lines_of(text: str, section: str, indent: str = "  ") -> list[str]:
    """The ids that stand in a section, counted by eye: keys at that indent, no YAML reader involved."""
    body = re.split(rf"^{section}:.*$", text, flags=re.MULTILINE)[1]
    body = re.split(r"^[a-z-]+:", body, flags=re.MULTILINE)[0]
    return re.findall(rf"^{indent}([A-Za-z][\w-]*) *:", body, re.MULTILINE)


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "van", "split-phase"])
def test_every_part_and_run_of_the_text_is_in_the_rig_and_no_other(
    name: str, texts: dict[str, str], rigs: dict[str, Rig]
) -> None:
    rig = rigs[name]

    assert [p.id for p in rig.parts.values() if not p.group] == lines_of(texts[name], "parts")
    assert [r.id for r in rig.runs.values() if not r.part_of] == lines_of(texts[name], "runs")


def test_both_ends_of_every_core_are_terminals_of_the_rig(rigs: dict[str, Rig]) -> None:
    for rig in rigs.values():
        terminals = ports_of(rig.parts, rig.use.loads, rig.metal.values()).terminals
        for run in rig.runs.values():
            assert run.cores
            for core in run.cores:
                assert core.a in terminals
                assert core.b in terminals


def test_an_interview_is_a_rig_file_without_parts_and_runs(read: Read) -> None:
    rig = read(
        "ohmwright: 1\njob: {id: new, units: us}\nhost: {kind: van, masses: {gvwr: 7700 lb (o)}}\n"
        "use:\n  loads:\n    fridge: {energy: 540 Wh/day, priority: always}\n"
        "  stays:\n    - {span: 04-01..10-31, place: Oulu, nights: 40, mode: occupied, shore: none}\n"
        "  promises:\n    - {name: dark week, nights: 5, loads: fridge}\n"
        "  answers: {people: two, medical: {said: none on board, by: owner}}\n"
    )

    assert not rig.parts
    assert not rig.runs
    # 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959)
    assert isinstance(gvwr := rig.host.masses["gvwr"], Figure)
    assert gvwr.value == pytest.approx(7700 * 0.45359237)
    assert rig.use.stays[0].first == (4, 1)
    assert rig.use.stays[0].last == (10, 31)
    assert rig.use.stays[0].shore == "none"
    assert rig.use.promises[0].words["loads"] == "fridge"
    assert rig.use.answers["medical"] == "none on board (owner)"


def test_a_section_with_nothing_behind_it_is_empty(read: Read) -> None:
    rig = read("ohmwright: 1\nparts:\nruns: {}\nmetal:\n")

    assert not rig.parts
    assert not rig.metal


def test_four_kinds_of_not_knowing_stay_apart(read: Read) -> None:
    rig = read(
        "ohmwright: 1\nparts:\n  U1: {is: pv-controller}\nsettings:\n"
        "  U1: {absorption: 14.2 V, float: unknown (asked 2026-04-02), equalise: none}\n"
    )

    assert isinstance(rig.setting("U1", "absorption"), Figure)
    asked = rig.setting("U1", "float")
    assert isinstance(asked, Unknown)
    assert asked.asked == "2026-04-02"
    assert isinstance(rig.setting("U1", "equalise"), NotThere)
    assert isinstance(rig.setting("U1", "low-float"), Absent)


def test_text_stays_text(read: Read) -> None:
    rig = read(
        "ohmwright: 1\nparts:\n  TH: {is: thermostat}\n  U1: {is: pv-controller}\n"
        "settings:\n  TH: {on: below -18 degC}\n  U1: {starts: 12:30, code: 1e3, octal: 0o17, mode: on}\n"
    )

    assert rig.setting("TH", "on") == "below -18 degC"
    assert [rig.setting("U1", k) for k in ("starts", "code", "octal", "mode")] == [
        "12:30",
        "1e3",
        "0o17",
        "on",
    ]


def test_a_setting_has_one_name_whatever_it_is_spelt(rigs: dict[str, Rig]) -> None:
    rig = rigs["trailer"]
    given = rig.setting("U1", "absorb")

    assert given == rig.setting("U1", "absorption")
    assert isinstance(given, Figure)
    assert given.value == 14.2
    assert given.address == "settings.U1.absorb"


def test_a_figure_of_the_file_goes_over_the_shelf(read: Read) -> None:
    rig = read(
        "ohmwright: 1\nparts:\n  B: {is: battery-lfp-200ah-12v, resistance: 3.1 mohm (m 2026-05-02)}\n"
    )
    given = rig.parts["B"].figure("resistance")

    assert isinstance(given, Figure)
    assert given.value == pytest.approx(0.0031)
    assert given.address == "B.resistance"
    assert given.origin.kind == "measured"


def test_one_member_may_differ(rigs: dict[str, Rig], read: Read) -> None:
    assert rigs["van"].parts["M.1.2"].record.id == "module-100w"
    assert rigs["van"].parts["M.1.1"].record.id == "module-175w"

    rig = read(
        "ohmwright: 1\nparts:\n  B: {is: battery, count: 2, join: {as: chain, link: 10 mm2, takeoff: diagonal},"
        " but: {2: {resistance: 3 mohm}}}\n"
    )
    assert "resistance" not in rig.parts["B.1"].figures
    assert "resistance" in rig.parts["B.2"].figures


def test_a_length_left_out_is_the_sum_of_its_ways(rigs: dict[str, Rig]) -> None:
    # boat: arch - chart-table is 6.2 m; chart-table - battery-bay 1.1 m (typed in the file's ways)
    boat = rigs["boat"]
    one, two = boat.runs["W01"].length, boat.runs["W03"].length

    assert isinstance(one, Figure)
    assert isinstance(two, Figure)
    assert (one.value, two.value) == (6.2, 1.1)
    assert one.origin.kind == "computed"
    assert boat.runs["W01"].route == ("arch - chart-table",)


def test_a_way_of_unknown_length_leaves_its_cable_unknown(read: Read) -> None:
    rig = read(
        "ohmwright: 1\nhost:\n  kind: van\n  places: {a: {regime: cabin}, b: {regime: cabin}}\n"
        "  ways: {a - b: {length: unknown (asked 2026-03-14)}}\n"
        "parts: {F: {is: fuse, at: a}, G: {is: fuse, at: b}}\nruns: {W: {from: F.load, to: G.line, cable: 6 mm2}}\n"
    )

    assert rig.runs["W"].route == ("a - b",)
    assert rig.runs["W"].length == Unknown("2026-03-14", "W.length")


def test_the_route_may_be_told_by_places(read: Read) -> None:
    text = (
        "ohmwright: 1\nhost:\n  kind: boat\n  places: {a: {}, b: {}, c: {}}\n"
        "  ways: {a - b: {length: 1 m}, b - c: {length: 2 m}, a - c: {length: 2.5 m}}\n"
        "parts: {F: {is: fuse, at: a}, G: {is: fuse, at: c}}\nruns:\n  W: {from: F.load, to: G.line, cable: 6 mm2}\n"
    )
    assert read(text).runs["W"].route == ("a - c",)

    told = read(text.replace("6 mm2}", "6 mm2, via: [b]}")).runs["W"]
    assert told.route == ("a - b", "b - c")
    assert isinstance(told.length, Figure)
    assert told.length.value == 3.0


def test_the_setting_of_a_ground_relay_decides_what_is_inside(read: Read) -> None:
    text = "ohmwright: 1\nparts:\n  U2: {is: inverter-charger, fitted: {ac-out-bond: relay}}\nsettings:\n  U2: {ground-relay: STATE}\n"
    on, off = read(text.replace("STATE", "enabled")), read(text.replace("STATE", "disabled"))

    assert on.parts["U2"].words["ground_relay"] == "enabled"
    assert off.parts["U2"].words["ground_relay"] == "disabled"


def test_an_inlet_that_is_unplugged_is_its_cord_out(texts: dict[str, str], read: Read) -> None:
    text = texts["boat"] + "  alone: {loads: {}, J1: unplugged}\n"
    text = text.replace(
        "looked-at:\n  - {rule: battery/held-down, subject: B, found: framed and strapped, by: shop, dated: 2026-04-02}\n",
        "",
    )

    assert read(text).cases["alone"].set == {"C1.to": "out"}


def test_the_same_text_is_the_same_rig(texts: dict[str, str], read: Read, rigs: dict[str, Rig]) -> None:
    for name, text in texts.items():
        assert read(text) == rigs[name]
