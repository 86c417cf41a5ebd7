"""Counting against the hand: what the trailer's own file says, added up without the program."""

from decimal import Decimal
from pathlib import Path

import pytest
import yaml

from ohmwright.rig.model import Rig
from ohmwright.services.opening import open_rig
from ohmwright.takeoff.count import takeoff_of
from ohmwright.takeoff.cuts import stud_name
from ohmwright.takeoff.practice import practice
from ohmwright.takeoff.types import Takeoff

SRC = Path(__file__).resolve().parents[2] / "src" / "ohmwright"
DEMOS = SRC / "services" / "demos"


def rig(name: str) -> Rig:
    return open_rig(str(DEMOS / name)).rig


@pytest.fixture(scope="module")
def trailer() -> Takeoff:
    return takeoff_of(rig("trailer/rig-built.yaml"))


def test_the_price_of_the_trailers_parts_is_the_sum_of_the_shelf_files(trailer: Takeoff) -> None:
    # Added up here from the YAML of shelf and rig by PyYAML alone.
    prices: dict[str, Decimal] = {}
    for file in [*(SRC / "shelf" / "parts").glob("*.yaml"), *(DEMOS / "trailer" / "shelf").glob("*.yaml")]:
        for name, entry in (yaml.safe_load(file.read_text())["parts"] or {}).items():
            if "price" in entry:
                prices[name] = Decimal(str(entry["price"]).split()[0])
    total = Decimal(0)
    for part in yaml.safe_load((DEMOS / "trailer" / "rig-built.yaml").read_text())["parts"].values():
        strings = part.get("array", "")
        count = 3 if strings == "3s1p" else int(part.get("count", 1))
        if part.get("own") is False:  # somebody else's pedestal
            continue
        total += prices[part["is"]] * count
        for own in (part.get("each") or {}).values():
            total += prices[own] * count
    assert sum(p.price * p.count for p in trailer.parts if p.price is not None) == total


def test_the_trailers_cables_by_hand(trailer: Takeoff) -> None:
    # 29 runs of the file + 6 links (3 of two) + 4 post leads + 15 branches; cores counted on the file with a pencil:
    # W01 W02 two each, C1 W23 W24 three each, W29 two, the other 32 - ... see the sum.
    written = yaml.safe_load((DEMOS / "trailer" / "rig-built.yaml").read_text())["runs"]
    two, three = {"W01", "W02", "W29"}, {"C1", "W23", "W24"}
    cores = sum(2 if r in two else 3 if r in three else 1 for r in written)
    links, posts = 3 * 2, 4
    dc_branches, ac_branches = 9 * 2, 6 * 3
    assert len(trailer.cuts) == cores + links + posts + dc_branches + ac_branches


def test_a_cut_is_the_run_with_both_ends_rounded_up(trailer: Takeoff) -> None:
    # W07: 1.0 m of 4/0 AWG, one end in the battery box: 1.0 + 0.12 + (0.12 + 0.05) = 1.29 -> 1.30 m.
    by_id = {c.id: c for c in trailer.cuts}
    assert by_id["W07"].cut_m == pytest.approx(1.30)
    # B.link1: 0.32 m, made to its template: 0.32 + 2 * 0.02 = 0.36 -> 0.40 m.
    assert by_id["B.link1.+"].cut_m == pytest.approx(0.40)
    # W23: 1.1 m with three cores, the sheath comes off 0.15 m at each end: 1.40 m, cut once.
    assert {by_id[f"W23.{p}"].cut_m for p in ("L", "N", "PE")} == {1.40}
    assert {by_id[f"W23.{p}"].piece for p in ("L", "N", "PE")} == {"W23"}


def test_no_conductor_is_cut_shorter_than_it_is_long() -> None:
    for name in ("trailer/rig-built.yaml", "boat/rig.yaml", "cabin/rig.yaml", "van/rig.yaml"):
        for c in takeoff_of(rig(name)).cuts:
            if c.length_m is not None and c.cut_m is not None:
                assert c.cut_m > c.length_m
                assert round(c.cut_m / practice().round_up_m, 6).is_integer()


def test_an_unknown_length_is_listed_and_not_guessed() -> None:
    # The van's W01 is `unknown (asked 2026-03-14)`; its branch cables were never asked for.
    van = takeoff_of(rig("van/rig.yaml"))
    by_id = {c.id: c for c in van.cuts}
    for name in ("W01.+", "W01.-", "kettle.branch.L"):
        assert by_id[name].length_m is None
        assert by_id[name].cut_m is None
        assert name in van.unknown_lengths
    assert "W01.+" in van.unknown_lengths
    assert not any("Colour" in note for note in van.notes)
    assert any("Colour" in note for note in van.wire_notes)


def test_every_conductor_has_a_label_of_its_own() -> None:
    for name in ("trailer/rig-built.yaml", "boat/rig.yaml", "cabin/rig.yaml", "van/rig.yaml"):
        labels = [c.label for c in takeoff_of(rig(name)).cuts]
        assert len(set(labels)) == len(labels)
        assert not any("-X-" in label for label in labels), "a pole stayed unknown"


def test_a_label_is_source_destination_polarity_serial(trailer: Takeoff) -> None:
    labels = {c.id: c.label for c in trailer.cuts}
    assert labels["W12"] == "XP-U2-P-1"
    assert labels["W09"] == "B-R1-M-1"
    assert labels["W25"] == "XN-chassis-E-1"
    assert labels["W24.PE"] == "U2-PA-PE-1"


def test_a_lug_takes_the_stud_of_its_own_end(trailer: Takeoff) -> None:
    by_id = {c.id: c for c in trailer.cuts}
    # battery post M8, shunt M10: the batteries' and the shunt's records
    assert (by_id["W09"].lug_a, by_id["W09"].lug_b) == ("ring 4/0 AWG M8", "ring 4/0 AWG M10")
    # the plus take-off is the far stud of the first battery's own fuse (M10), not the post
    assert by_id["W06"].lug_a == "ring 4/0 AWG M10"
    # the PV controller's record has no stud
    assert by_id["W03"].lug_a == "stud ?"


def test_studs_as_the_trade_says_them() -> None:
    # ISO 261 sizes; 3/8 in = 9.525 mm, 5/16 in = 7.9375 mm by the inch of 25.4 mm.
    assert [stud_name(x) for x in (5, 6, 8, 10, 12)] == ["M5", "M6", "M8", "M10", "M12"]
    assert (stud_name(9.525), stud_name(7.9375), stud_name(6.35)) == ("3/8 in", "5/16 in", "1/4 in")


def test_lithium_travels_as_dangerous_goods_and_lead_under_its_own_number() -> None:
    # UN 3480 lithium ion batteries, class 9; UN 2794 and 2800 lead-acid: UN Model Regulations list, from memory.
    boat = takeoff_of(rig("boat/rig.yaml"))
    notes = {p.title: " ".join(p.notes) for p in boat.parts if p.kind == "battery"}
    assert any("UN 3480" in n for n in notes.values())
    assert all("UN" in n for n in notes.values())


def test_a_supply_that_is_not_ours_is_not_bought(trailer: Takeoff) -> None:
    assert not any("SUP" in p.references for p in trailer.parts)
    assert any("SUP" in note for note in trailer.notes)


def test_every_part_of_the_file_is_on_the_list_once() -> None:
    for name in ("boat/rig.yaml", "cabin/rig.yaml"):
        r = rig(name)
        listed = [ref for p in takeoff_of(r).parts for ref in p.references]
        assert len(set(listed)) == len(listed)
        for part in r.parts.values():
            group = part.join is not None or part.strings or part.count > 1
            if not group and part.words.get("own") not in ("no", "false"):
                assert part.id in listed
