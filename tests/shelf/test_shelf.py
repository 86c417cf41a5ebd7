"""The shelf: our own parts, what lies over them, and every way a shelf file can be wrong."""

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest

from ohmwright import kinds
from ohmwright.kinds import figure_spec
from ohmwright.shelf import load
from ohmwright.shelf.add import condition_stated
from ohmwright.shelf.entry import mapping
from ohmwright.shelf.freeze import entry_text
from ohmwright.shelf.load import Shelf, read_file
from ohmwright.shelf.record import Record
from ohmwright.working import CLASS, INVENTED, Figure, FileError, packaged, packaged_names
from ohmwright.working.tree import read_tree

SHELF = Shelf()


def every_record() -> Iterator[Record]:
    for name in SHELF:
        record = SHELF.find(name)
        assert record is not None
        yield record


def figure(record: Record, name: str) -> Figure:
    given = record.figures[name]
    assert isinstance(given, Figure), (record.id, name, given)
    return given


def has(record: Record, name: str) -> bool:
    return isinstance(record.figures.get(name), Figure)


def shop(body: str) -> Shelf:
    return Shelf(shop={"shop.yaml": f"ohmwright-shelf: 1\nparts:\n{body}"})


class TestOurOwnParts:
    def test_there_are_enough_to_build_with(self) -> None:
        assert len(list(SHELF)) >= 60

    def test_the_quick_index_finds_what_a_full_reading_finds(self) -> None:
        full: dict[str, str] = {}
        for file in packaged_names(load.PACKAGE, ".yaml"):
            tree = mapping(read_tree(packaged(load.PACKAGE, file).decode(), file), "a file")
            assert set(tree) <= {"ohmwright-shelf", "priced", "templates", "parts"}
            parts = tree.get("parts")
            assert parts is not None
            for name in mapping(parts, "parts"):
                assert name not in full, f"{name} stands in {full[name]} and {file}"
                full[name] = file
        assert sorted(full) == list(SHELF)

    def test_every_kind_that_carries_current_has_a_part(self) -> None:
        assert {r.kind.name for r in every_record()} >= set(kinds.names())

    def test_every_part_can_be_built(self) -> None:
        for record in every_record():
            inside = record.kind.inside(record.words)
            assert inside.ports or record.kind.name in ("cable", "lug", "enclosure", "mounting"), record.id

    def test_ids_are_no_kinds_and_begin_with_what_the_part_does(self) -> None:
        for record in every_record():
            assert kinds.find(record.id) is None
            assert re.match(r"[a-z]{2}", record.id), record.id

    def test_every_rating_states_its_condition(self) -> None:
        for record in every_record():
            for name, given in record.figures.items():
                spec = figure_spec(record.kind, name)
                assert spec is not None
                if isinstance(given, Figure):
                    assert condition_stated(given, spec), (record.id, name, given.text)

    def test_every_figure_says_that_it_is_invented_or_of_its_class(self) -> None:
        for record in every_record():
            for name, given in record.figures.items():
                if isinstance(given, Figure):
                    assert given.origin in (INVENTED, CLASS), (record.id, name)
                    assert not given.origin.verified

    def test_a_class_figure_is_one_that_only_energy_needs(self) -> None:
        for record in every_record():
            for name, given in record.figures.items():
                if isinstance(given, Figure) and given.origin == CLASS:
                    assert record.kind.figures[name].default, (record.id, name)

    def test_every_part_that_is_bought_has_price_and_mass(self) -> None:
        for record in every_record():
            assert record.price is not None, record.id
            assert re.fullmatch(r"\d{4}-\d{2}-\d{2}", record.price.dated), record.id
            assert set(record.prices) == {"USD", "EUR", "GBP", "NOK"}
            if record.kind.name not in ("cable", "supply-post"):
                assert has(record, "mass"), record.id

    def test_interrupt_ratings_fall_as_the_voltage_rises(self) -> None:
        """Common practice, no source: kiloamperes fall with volts, and no voltage is printed twice."""
        for record in every_record():
            points = [
                figure(record, n) for n in ("interrupt", "interrupt_2", "interrupt_3") if has(record, n)
            ]
            volts = [p.condition_value("V") for p in points]
            assert all(v is not None for v in volts)
            assert volts == sorted(set(volts), key=lambda v: v or 0.0), record.id
            assert [p.value for p in points] == sorted((p.value for p in points), reverse=True), record.id

    def test_every_protective_device_with_a_plate_has_rating_voltage_and_interrupt(self) -> None:
        for record in every_record():
            if (
                record.kind.name in ("fuse", "breaker", "rcbo", "pv-disconnect")
                and record.id != "fuse-audio-250a"
            ):
                for name in ("rated", "voltage", "interrupt"):
                    assert has(record, name), (record.id, name)

    def test_a_shunts_resistance_is_its_millivolts_over_its_amperes(self) -> None:
        for record in SHELF.of_kind("shunt"):
            assert figure(record, "resistance").value == pytest.approx(
                figure(record, "millivolts").value / figure(record, "rated").value, rel=1e-5
            )

    def test_a_modules_power_is_its_volts_times_its_amperes(self) -> None:
        for record in SHELF.of_kind("module"):
            assert figure(record, "max_power_voltage").value * figure(
                record, "max_power_current"
            ).value == pytest.approx(figure(record, "power").value, rel=0.01)
            assert figure(record, "open_circuit").value > figure(record, "max_power_voltage").value
            assert figure(record, "short_circuit").value > figure(record, "max_power_current").value

    def test_a_controllers_id_tells_output_and_limit(self) -> None:
        for record in SHELF.of_kind("pv-controller"):
            m = re.fullmatch(r"pv-controller-(\d+)a-(\d+)v", record.id)
            assert m, record.id
            assert figure(record, "output_current").value == float(m[1])
            assert figure(record, "max_pv_voltage").value == float(m[2])

    def test_a_lithium_battery_never_takes_charge_where_its_cells_forbid_it(self) -> None:
        for record in SHELF.of_kind("battery"):
            if record.words["chemistry"] == "lfp":
                assert (
                    figure(record, "charge_min_temperature").value
                    >= figure(record, "cell_charge_min_temperature").value
                    + figure(record, "sensor_error").value
                )
                assert figure(record, "charge_voltage").value < figure(record, "charge_voltage_max").value
                assert figure(record, "cutoff_voltage").value < figure(record, "float_voltage").value

    def test_wire_areas_of_gauge_cables_agree_with_astm_b258(self) -> None:
        """ASTM B258 (diameter 0.005 in * 92^((36-n)/39), from memory): area within the rounding of a price list."""
        for record in SHELF.of_kind("cable"):
            if (m := re.fullmatch(r"cable-(\d+)(-0)?awg-105c", record.id)) is not None:
                gauge = 1 - int(m[1]) if m[2] else int(m[1])
                inches = 0.005 * 92 ** ((36 - gauge) / 39)
                assert figure(record, "area").value == pytest.approx(
                    3.14159265 / 4 * (inches * 25.4) ** 2, rel=0.01
                ), record.id

    def test_the_ladder_of_fuses_has_no_gap_wider_than_a_factor_of_1_67(self) -> None:
        """IEC 60269-1 R10 steps with one left out at most (from memory)."""
        for wanted in ("class-t", "bolt", "terminal-post"):
            sizes = sorted(
                figure(r, "rated").value
                for r in SHELF.of_kind("fuse")
                if r.words["class"] == wanted and not r.id.endswith("80v")
            )
            assert all(b / a <= 1.67 for a, b in pairwise(sizes)), (wanted, sizes)


class TestLayers:
    def test_the_shop_wins_over_us_and_the_job_over_the_shop(self) -> None:
        one = "ohmwright-shelf: 1\nparts:\n  fuse-class-t-300a: {like: fuse-class-t-300a, title: %s}\n"
        shelf = Shelf(shop={"a.yaml": one % "the shop's"}, job={"b.yaml": one % "the job's"})
        found = shelf.find("fuse-class-t-300a")
        assert found is not None
        assert found.title == "the job's"
        assert found.from_shop
        assert figure(found, "rated").value == 300

    def test_a_named_page_replaces_an_invented_origin_and_leaves_a_class_figure_alone(self) -> None:
        found = shop("  module-410w: {like: module-410w, source: d1 p2}\n").find("module-410w")
        assert found is not None
        assert str(figure(found, "beta").origin) == "source d1 p2"
        assert figure(found, "beta").origin.verified
        assert figure(found, "noct").origin == CLASS

    def test_a_figure_of_its_own_keeps_its_own_bracket(self) -> None:
        found = shop(
            "  my-fuse: {like: fuse-class-t-300a, source: d1 p2, rated: 310 A @ 25 degC (d3 p9)}\n"
        ).find("my-fuse")
        assert found is not None
        assert figure(found, "rated").origin.tag == "d3"
        assert figure(found, "interrupt").origin.tag == "d1"

    def test_a_bare_kind_is_a_part_without_figures(self) -> None:
        found = SHELF.find("pv-controller-pwm")
        assert found is not None
        assert found.bare
        assert not found.figures

    def test_a_template_is_no_part(self) -> None:
        assert SHELF.find("fuse-class-t") is None
        assert "fuse-class-t" not in list(SHELF)

    def test_a_misspelt_id_has_a_nearest(self) -> None:
        assert SHELF.find("battery-lpf-200ah-12v") is None
        assert SHELF.near("battery-lpf-200ah-12v") == "battery-lfp-200ah-12v"
        assert SHELF.near("zzzzzz") is None

    def test_of_kind_holds_all_of_it_and_nothing_else(self) -> None:
        fuses = SHELF.of_kind("fuse")
        assert {r.id for r in fuses} == {r.id for r in every_record() if r.kind.name == "fuse"}

    def test_prices_are_found_by_currency(self) -> None:
        found = SHELF.find("battery-lfp-200ah-12v")
        assert found is not None
        euro, dollar = found.price_in("EUR"), found.price_in("USD")
        assert euro is not None
        assert dollar is not None
        assert (euro.currency, dollar.amount) == ("EUR", "640")
        assert found.price_in("JPY") is None

    def test_unknown_and_none_stay_what_they_are(self) -> None:
        found = shop(
            "  my-fuse: {like: fuse-class-t-300a, rated: unknown (asked 2026-04-02), melting: none}\n"
        ).find("my-fuse")
        assert found is not None
        assert type(found.figures["rated"]).__name__ == "Unknown"
        assert type(found.figures["melting"]).__name__ == "NotThere"

    def test_a_record_written_out_and_read_again_is_the_same(self) -> None:
        for record in every_record():
            text = "ohmwright-shelf: 1\nparts:\n" + entry_text(record, "  ")
            again = read_file(text, "again.yaml", SHELF.find)[record.id]
            assert dict(again.words) == dict(record.words), record.id
            assert again.prices == record.prices, record.id
            for name, given in record.figures.items():
                new = again.figures[name]
                if isinstance(given, Figure):
                    assert isinstance(new, Figure)
                    assert (new.value, new.unit, new.low, new.high, new.origin, new.condition, new.seconds) == (
                        given.value, given.unit, given.low, given.high, given.origin, given.condition, given.seconds,
                    ), (record.id, name)  # fmt: skip


MISTAKES = [
    ("  F: {kind: fuse}\n", "no id for a part", 3),
    ("  fuse: {kind: fuse}\n", "name of a kind", 3),
    ("  my-fuse: {title: x}\n", "what kind", 3),
    ("  my-fuse: {kind: fuze}\n", "did you mean fuse", 3),
    ("  my-fuse: {like: fuse-class-x-300a}\n", "take after", 3),
    ("  my-fuse: {like: fuse-class-t-300a, kind: breaker}\n", "takes after a fuse", 3),
    ("  my-fuse: {kind: fuse, ratde: 300 A}\n", "did you mean rated", 3),
    ("  my-fuse: {kind: fuse, rated: 300 V}\n", "wanted is one in A", 3),
    ("  my-fuse: {kind: fuse, rated: 300}\n", "no unit", 3),
    ("  my-fuse:\n    kind: fuse\n    rated: [300 A]\n", "a quantity is wanted", 5),
    ("  my-fuse: {kind: fuse, class: class-q}\n", "is none of", 3),
    ("  my-fuse: {kind: fuse, price: 62 dollars}\n", "no price", 3),
    ("  my-fuse: {kind: fuse, price: 62 USD / 60 USD}\n", "no price", 3),
    ("  my-fuse: {kind: fuse, source: ''}\n", "empty bracket", 3),
    ("  my-fuse: fuse-class-t-300a\n", "a part is wanted", 3),
    ("  my-fuse: {kind: fuse}\n  my-fuse: {kind: fuse}\n", "stands twice", 4),
]


@pytest.mark.parametrize(("body", "says", "line"), MISTAKES)
def test_a_mistake_is_told_with_its_line(body: str, says: str, line: int) -> None:
    with pytest.raises(FileError, match=re.escape(says)) as told:
        shop(body)
    assert told.value.at.file == "shop.yaml"
    assert told.value.at.line == line


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("parts: {}\n", "version"),
        ("ohmwright-shelf: 2\nparts: {}\n", "version"),
        ("ohmwright-shelf: 1\npart: {}\n", "did you mean parts"),
        ("ohmwright-shelf: 1\nparts: []\n", "parts by id"),
        ("- a\n", "a shelf file is wanted"),
        ("", "empty"),
    ],
)
def test_a_file_that_is_no_shelf_file_is_refused(text: str, says: str) -> None:
    with pytest.raises(FileError, match=says):
        Shelf(shop={"shop.yaml": text})
