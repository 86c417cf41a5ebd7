"""Figures that no rule judges come by hand to what the program tells elsewhere."""

import re

import pytest

from ohmwright.change.arrays import array_figures
from ohmwright.change.follows import mass
from ohmwright.checks.heat import bays
from ohmwright.checks.masses import added
from ohmwright.energy.reckoned import Reckoned
from ohmwright.services import reckon
from ohmwright.services.lines import Lines
from ohmwright.services.new import like
from ohmwright.services.opening import Opened, open_study
from ohmwright.services.reckon_counts import NAMES
from ohmwright.services.why import why
from ohmwright.study import Study
from ohmwright.working import OhmwrightError, evaluate

Known = tuple[Opened, Study, str]


@pytest.fixture(scope="module", params=["trailer", "boat", "cabin", "van"])
def known(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Known:
    folder = str(tmp_path_factory.mktemp("reckon") / request.param)
    like(folder, request.param)
    return *open_study(folder), folder


def _asked(known: Known, what: str, subject: str = "") -> Reckoned:
    told = reckon.derived(reckon.About(known[0], known_study=known[1]), what, subject)
    for last in told.steps:
        for step in last.chain():
            assert evaluate(step.substituted) == pytest.approx(step.value, rel=1e-6, abs=1e-7), step.symbol
    return told


def test_current_and_drop_of_every_run_are_those_of_flows(known: Known) -> None:
    """The largest current of all cases, and the drop of that conductor in that case, as `flows` solves them."""
    study = known[1]
    seen = 0
    for run in known[0].rig.runs.values():
        if run.part_of:
            continue
        cores = [c.id for c in run.cores]
        told = _asked(known, "run/current", run.id)
        by_case = {
            (case, core): abs(a.current_A)
            for case in study.cases
            for core in cores
            if (a := study.solution(case).conductors.get(core)) is not None
        }
        assert told.value == max(by_case.values())
        alike = [
            study.solution(case).drop_of(core) for (case, core), amps in by_case.items() if amps == told.value
        ]
        sized = study.graph.conductors[max(by_case, key=lambda k: by_case[k])[1]]
        if sized.role not in ("data", "sense") and None in (sized.area_mm2, sized.length_m):
            with pytest.raises(OhmwrightError, match="is not known; write the"):
                _asked(known, "run/drop", run.id)
            continue
        seen += 1
        assert _asked(known, "run/drop", run.id).value in alike
    assert seen > 10


def test_arrays_are_those_of_a_change_order(known: Known) -> None:
    for (name, subject), (value, unit) in array_figures(known[1]).items():
        what = next(k for k, told in NAMES.items() if told == name)
        told = _asked(known, what, subject)
        assert (told.value, told.unit) == (value, unit)


def test_bays_are_those_of_the_rules(known: Known) -> None:
    for name, air in bays(known[1]).items():
        if air.air is None:
            with pytest.raises(OhmwrightError, match="cannot be told"):
                _asked(known, "place/air", name)
        else:
            assert _asked(known, "place/air", name).value == air.air.value
            assert _asked(known, "place/heat", name).value == pytest.approx(air.loss_W)
            if air.flow_m3_per_h:
                assert _asked(known, "place/flow", name).value == pytest.approx(air.flow_m3_per_h, rel=1e-5)


def test_masses_are_those_that_are_counted(known: Known) -> None:
    assert _asked(known, "host/aboard").value == pytest.approx(added(known[1]).mass_kg)
    whole = _asked(known, "parts/mass")
    assert whole.value == mass(known[1].takeoff)
    assert whole.steps[-1].value == pytest.approx(whole.value, abs=6e-4), "told to a gram"


def test_cable_to_cut_is_each_piece_once(known: Known) -> None:
    cuts = [c for c in known[1].takeoff.cuts if not c.made]
    for size in {c.size for c in cuts}:
        pieces = {c.piece or c.id: c.cut_m or 0.0 for c in cuts if c.size == size}
        assert _asked(known, "cable/to-cut", size).value == pytest.approx(sum(pieces.values()))


def test_every_name_is_told_by_the_help_and_has_an_answer() -> None:
    from ohmwright.cli.why import why_command

    told = why_command.help or ""
    for name in reckon.OTHERS:
        head, _, rest = name.partition("/")
        assert head in told
        assert name in told or rest in told or head == "string"
        assert name in reckon.names()
    assert set(reckon.OTHERS) == set(reckon._others())


def _told_of(folder: str, what: str) -> object:
    return reckon.reckoned(folder, what) if reckon.is_reckoned(what) else why(folder, what)


def test_a_name_that_is_mistyped_is_told_the_nearest_of_all(known: Known) -> None:
    if not any(s.place or s.latitude_deg for s in known[0].rig.use.stays):
        pytest.skip("no year without a place")
    for typed, meant in (("run/dorp", "run/drop"), ("parts/mas", "parts/mass"), ("year/sunn", "year/sun")):
        with pytest.raises(OhmwrightError, match=f"did you mean {meant}"):
            _told_of(known[2], typed)


def test_a_figure_of_the_file_is_told_with_its_line(known: Known) -> None:
    """Held against the text itself: the line that is told holds the name and what is written of it."""
    rig = known[0].rig
    lines, text = Lines(rig), rig.text.splitlines()
    seen = 0
    for run in rig.runs.values():
        line = lines.of(f"{run.id}.length")
        if run.part_of or line is None:
            continue
        assert re.search(rf"\b{re.escape(run.id)}\b|\blength\b", text[line - 1])
        seen += 1
    assert seen > 5 or not rig.runs
    for none in ("no such thing", "drop/other", "year/sun week-12", "X99.length", ""):
        assert lines.of(none) is None
