"""The demo jobs: complete folders, no refusal, and the figures of the job sheets they were written from.

People, rigs and sheets are invented; the arithmetic behind the expected values stands beside each test.
"""

import csv
import re
from functools import cache

import pytest

from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.landing import landings, loose_ends
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.services.demos import NAMES, files_of
from ohmwright.shelf.load import Shelf
from ohmwright.working import Figure, Given, parse
from ohmwright.working.tree import Mapping, Scalar, read_tree

RIGS = [(name, path) for name in NAMES for path in files_of(name) if re.fullmatch(r"rig.*\.yaml", path)]
CLEAN = [r for r in RIGS if r[0] != "van"]


@cache
def shelf_of(name: str) -> Shelf:
    return Shelf(
        job={
            p: b.decode() for p, b in files_of(name).items() if p.startswith("shelf/") and p.endswith(".yaml")
        }
    )


@cache
def rig_of(name: str, path: str = "rig.yaml") -> Rig:
    return read_rig(files_of(name)[path].decode(), path, shelf_of(name))


@cache
def graph(name: str, path: str = "rig.yaml") -> Graph:
    return graph_of(rig_of(name, path))


def value(given: Given) -> float:
    assert isinstance(given, Figure), given
    return given.value


def figure(rig: Rig, part: str, name: str) -> float:
    return value(rig.parts[part].figure(name))


@pytest.mark.parametrize(("name", "path"), RIGS)
class TestEveryRig:
    def test_it_is_read_and_expanded_without_refusal(self, name: str, path: str) -> None:
        assert graph(name, path).conductors

    def test_it_reads_with_our_own_shelf_alone(self, name: str, path: str) -> None:
        assert read_rig(files_of(name)[path].decode(), path, Shelf()).parts

    def test_every_part_but_a_bare_kind_has_figures(self, name: str, path: str) -> None:
        rig = rig_of(name, path)
        bare = {p.id for p in rig.parts.values() if not p.record.figures and p.kind.figures}
        assert bare <= {"U1", "KP"} if name == "van" else not bare

    def test_every_sheet_that_it_cites_is_a_source(self, name: str, path: str) -> None:
        rig = rig_of(name, path)
        cited = {
            g.origin.tag
            for p in rig.parts.values()
            for g in p.record.figures.values()
            if isinstance(g, Figure) and g.origin.kind == "source"
        }
        assert cited <= set(rig.sources)

    def test_every_load_that_is_fed_has_a_way_with_a_rating(self, name: str, path: str) -> None:
        rig = rig_of(name, path)
        for load in rig.use.loads.values():
            for way in load.fed.values():
                panel, number = way.rsplit(".", 1)
                assert number in rig.parts[panel].ways, way


@pytest.mark.parametrize(("name", "path"), CLEAN)
class TestBuiltWithCare:
    def test_no_terminal_takes_more_than_it_may(self, name: str, path: str) -> None:
        assert not [x for x in landings(graph(name, path)).values() if x.too_many]

    def test_no_end_is_loose(self, name: str, path: str) -> None:
        assert not loose_ends(graph(name, path))

    def test_every_conductor_has_length_and_size(self, name: str, path: str) -> None:
        for c in graph(name, path).conductors.values():
            assert c.role == "data" or (c.length_m is not None and c.area_mm2 is not None), c.id

    def test_every_part_has_a_price_in_the_currency_of_the_job(self, name: str, path: str) -> None:
        rig = rig_of(name, path)
        for part in rig.parts.values():
            assert part.record.price_in(rig.job.currency) is not None, part.id


class TestTrailer:
    @pytest.mark.parametrize(
        ("path", "volts", "limit"),
        # n * Voc * (1 + beta * (-34 - 25)): 24.4 * 1.1652; 3 * 37.1 * 1.1593, as the job sheet prints it
        [("rig.yaml", 28.4, 100), ("rig-swapped.yaml", 129.0, 100), ("rig-built.yaml", 129.0, 150)],
    )
    def test_the_cold_night_breaks_only_the_swapped_controller(
        self, path: str, volts: float, limit: float
    ) -> None:
        rig = rig_of("trailer", path)
        module = rig.parts["M"]
        coldest = min(value(s.coldest) for s in rig.use.stays if isinstance(s.coldest, Figure))
        cold = (
            module.per_string
            * figure(rig, "M", "open_circuit")
            * (1 + figure(rig, "M", "beta") / 100 * (coldest - 25))
        )
        assert cold == pytest.approx(volts, abs=0.05)
        assert figure(rig, "U1", "max_pv_voltage") == limit
        assert (cold > limit) == (path == "rig-swapped.yaml")

    def test_a_summer_day_takes_what_the_job_sheet_says(self) -> None:
        """1,559 Wh of direct and 1,910 Wh of alternating current, summed by hand from the appliance rows."""
        rig = rig_of("trailer", "rig-built.yaml")

        def day(load: str) -> float:
            use = rig.use.loads[load]

            def of(by: dict[str, Given], default: float) -> float:
                return value(by.get("summer", by.get("", parse(f"{default}", "1"))))

            if use.energy:
                return of(dict(use.energy), 0)
            hours = of(dict(use.hours), 86400.0) / 3600
            return of(dict(use.power), 0) * hours * of(dict(use.duty), 1.0)

        loads = rig.use.loads
        ac = sum(day(n) for n, x in loads.items() if any(w.startswith("PA.") for w in x.fed.values()))
        dc = sum(day(n) for n in loads) - ac
        assert dc == pytest.approx(1559, rel=0.01)
        assert ac == pytest.approx(1910, rel=0.01)

    def test_the_built_bank_is_out_of_the_sleepers_air(self) -> None:
        built = rig_of("trailer", "rig-built.yaml")
        assert built.parts["B"].place == "battery-box"
        assert built.host.places["battery-box"].regime == "box"
        assert rig_of("trailer").parts["B"].place == "bunk-locker"

    def test_what_stands_at_the_built_bank_breaks_its_fault(self) -> None:
        """Four batteries at 14.6 V behind 70 % of 2.5 mohm push 33.4 kA into a bolted short, path resistance left out."""
        rig = rig_of("trailer", "rig-built.yaml")
        short = 4 * 14.6 / (0.7 * figure(rig, "B.1", "resistance"))
        assert short == pytest.approx(33_400, rel=0.01)
        for part in ("F1", "F7", "F5", "F4", "F6", "B.1.F", "B.2.F", "B.3.F", "B.4.F"):
            assert figure(rig, part, "interrupt") > short, part
            assert figure(rig, part, "voltage") > 14.6
        quoted = rig_of("trailer")
        assert figure(quoted, "F1", "interrupt") < short
        assert figure(quoted, "B.1.F", "interrupt_2") < short / 4

    def test_the_inverter_current_at_the_set_cut_off_fits_the_built_main(self) -> None:
        """3,000 W / (0.90 * 12.0 V) = 278 A, with a quarter more 347 A; the quoted 10.5 V asks for 397 A."""
        built, quoted = rig_of("trailer", "rig-built.yaml"), rig_of("trailer")

        def wanted(rig: Rig) -> float:
            cut = rig.setting("U2", "cut-off")
            assert isinstance(cut, Figure)
            return 1.25 * figure(rig, "U2", "power") / figure(rig, "U2", "efficiency_full") / cut.value

        assert wanted(built) == pytest.approx(347, abs=0.5)
        assert wanted(quoted) == pytest.approx(397, abs=0.5)
        assert figure(built, "F1", "rated") >= wanted(built)
        assert figure(quoted, "F2", "rated") < wanted(quoted)

    def test_the_charger_of_the_tow_vehicle_has_its_own_return_and_a_device_at_both_ends(self) -> None:
        rig = rig_of("trailer", "rig-built.yaml")
        ends = {(c.a, c.b) for c in graph("trailer", "rig-built.yaml").conductors.values()}
        assert ("TV.aux.-", "U3.common.-") in ends
        assert rig.parts["F3"].place == "hitch"
        assert rig.parts["F4"].place == "side-bay"


class TestBoat:
    def test_no_device_at_the_house_bank_is_too_weak(self) -> None:
        """Two batteries at 14.6 V behind 70 % of 2.0 mohm: 20.9 kA bolted; 20 kA would not do."""
        rig = rig_of("boat")
        short = 2 * 14.6 / (0.7 * figure(rig, "B.1", "resistance"))
        assert short == pytest.approx(20_857, rel=0.001)
        for part in ("F1", "F7", "F9", "F10", "F11", "F14", "F18", "F19", "FU", "B.1.F", "B.2.F"):
            assert figure(rig, part, "interrupt") > short, part

    def test_a_day_on_passage_takes_what_the_job_sheet_says(self) -> None:
        """3,835 Wh a day on passage, 84 of them idle of the inverter and 120 of management and monitor."""
        loads = rig_of("boat").use.loads
        passage = sum(
            value(x.energy.get("passage", x.energy.get("", parse("0 Wh/day"))))
            for x in loads.values()
            if x.energy
        )
        assert passage == pytest.approx(3835 - 84 - 120, abs=1)

    def test_the_heater_claim_is_to_be_proved_by_wiring(self) -> None:
        never = rig_of("boat").never
        assert [(n.these, n.by) for n in never] == [
            ((("water-heater", "live"), ("U2.aux", "open")), "wiring")
        ]


class TestCabin:
    def test_the_coldest_string_stays_under_its_controller(self) -> None:
        """4 * 39.2 V * (1 + 0.26 % * 61) = 181.7 V."""
        rig = rig_of("cabin")
        cold = 4 * figure(rig, "M", "open_circuit") * (1 + figure(rig, "M", "beta") / 100 * (-36 - 25))
        assert cold == pytest.approx(181.7, abs=0.05)
        assert cold < figure(rig, "U1", "max_pv_voltage")

    def test_nothing_on_the_48_volt_bars_is_rated_for_less(self) -> None:
        rig = rig_of("cabin")
        for part in rig.of_kind("fuse"):
            assert value(part.figure("voltage")) >= 58.4, part.id

    def test_the_electrode_is_in_the_ground_and_its_ohms_are_an_open_question(self) -> None:
        rig = rig_of("cabin")
        assert type(rig.parts["E1"].figure("resistance")).__name__ == "Unknown"
        assert any(e.b == "ground" or e.a == "ground" for e in graph("cabin").elements.values())

    def test_it_is_occupied_or_unattended(self) -> None:
        assert {s.mode for s in rig_of("cabin").use.stays} == {"occupied", "unattended"}


class TestVan:
    def test_what_nobody_could_read_is_unknown(self) -> None:
        rig = rig_of("van")
        for part, name in (("FA", "interrupt"), ("FA", "voltage"), ("SUP", "system")):
            assert (
                type(rig.parts[part].figure(name)).__name__ == "Unknown"
                or rig.parts[part].word(name) == "unknown"
            )
        assert rig.parts["U1"].record.bare

    def test_what_was_seen_is_kept(self) -> None:
        rig = rig_of("van")
        assert "78 degC" in rig.runs["W05"].found
        assert rig.parts["QD"].found

    def test_the_bank_is_bare(self) -> None:
        """No device belongs to a battery, and five lugs sit on one post."""
        rig = rig_of("van")
        assert not [p for p in rig.parts if p.startswith("B.") and p.endswith(".F")]
        assert next(x.terminal for x in landings(graph("van")).values() if x.too_many) == "B.1.+"

    def test_the_lead_with_two_plugs_fits_sockets_at_both_ends(self) -> None:
        g = graph("van")
        assert g.terminals["SUP.L"].plug == "socket"
        assert g.terminals["X1.socket.L"].plug == "socket"


LOG_COLUMN = re.compile(r"(?P<address>[A-Za-z]\w*)\.(?P<quantity>\w+)|ambient_degC")


@pytest.mark.parametrize(("name", "path"), [(n, p) for n in NAMES for p in files_of(n) if p.endswith(".csv")])
class TestLogs:
    def test_time_comes_first_in_utc_and_only_forward(self, name: str, path: str) -> None:
        rows = list(csv.reader(files_of(name)[path].decode().splitlines()))
        assert rows[0][0] == "time"
        times = [r[0] for r in rows[1:]]
        assert all(re.fullmatch(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z", t) for t in times)
        assert times == sorted(set(times))

    def test_every_column_belongs_to_a_part_and_every_value_is_a_number_or_missing(
        self, name: str, path: str
    ) -> None:
        rows = list(csv.reader(files_of(name)[path].decode().splitlines()))
        for column in rows[0][1:]:
            m = LOG_COLUMN.fullmatch(column)
            assert m is not None, column
            assert m["address"] is None or m["address"] in rig_of(name).parts
        for row in rows[1:]:
            assert len(row) == len(rows[0])
            assert all(cell == "" or float(cell) > -1000 for cell in row[1:])


def test_the_noon_row_explains_itself() -> None:
    """214 W * 0.97 - 13.55 V * 0.4 A = 202 W of direct-current loads, inverter off."""
    rows = {
        r["time"]: r for r in csv.DictReader(files_of("trailer")["logs/2026-07-14.csv"].decode().splitlines())
    }
    noon = rows["2026-07-14T17:00:00Z"]
    assert float(noon["U1.pv_power_W"]) * 0.97 - float(noon["B.voltage_V"]) * float(
        noon["R1.current_A"]
    ) == pytest.approx(202, abs=0.5)
    assert noon["U2.ac_out_W"] == "0"


def test_the_readings_are_of_this_rig_and_near_what_it_should_show() -> None:
    """3 * 37.1 * (1 - 0.27 % * 11) = 108.0 V at 36 degC; 13.9 * 0.812 * (1 + 0.05 % * 11) = 11.35 A."""
    tree = read_tree(files_of("trailer")["readings/2026-05-02.yaml"].decode(), "readings")
    assert isinstance(tree, Mapping)
    tests = tree.get("tests")
    assert isinstance(tests, Mapping)

    def reading(test: str, unit: str) -> float:
        one = tests.get(test) if isinstance(tests, Mapping) else None
        said = one.get("reading") if isinstance(one, Mapping) else None
        assert isinstance(said, Scalar)
        return value(parse(said.text, unit))

    assert reading("9/M.1", "V") == pytest.approx(108.0, rel=0.01)
    assert reading("10/M.1", "A") == pytest.approx(11.35, rel=0.01)
    rig = rig_of("trailer", "rig-built.yaml")
    for test in tests:
        assert test.split("/", 1)[1].split(".")[0] in rig.parts


def test_every_job_has_its_working_file_and_says_that_it_is_invented() -> None:
    for name in NAMES:
        files = files_of(name)
        assert "rig.yaml" in files
        assert b"invented" in files["rig.yaml"] or b"Invented" in files["rig.yaml"]
        assert not [p for p in files if p.endswith((".py", ".pyc"))]


def test_a_job_that_does_not_exist_is_no_demo() -> None:
    with pytest.raises(KeyError):
        files_of("airship")
