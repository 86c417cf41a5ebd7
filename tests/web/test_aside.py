"""Years beside the bench give way to changes, and never take part in one."""

import os
import re
import threading
import time
from pathlib import Path

import pytest
from tests.web.conftest import Asked

from ohmwright.services.almanac import typical
from ohmwright.services.desk import Put, typical_of_text
from ohmwright.services.new import like
from ohmwright.services.opening import open_rig
from ohmwright.web import aside
from ohmwright.web.aside import Aside
from ohmwright.web.bench import Bench
from ohmwright.web.child import FaultError
from ohmwright.working import OhmwrightError


@pytest.fixture(autouse=True)
def _quiet_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aside, "QUIET_S", 0.0)


def test_it_works_in_a_process_of_its_own_that_stays() -> None:
    one = Aside()
    first, second = one.answer(os.getpid), one.answer(os.getpid)
    assert first == second != os.getpid()


def test_a_change_ends_what_goes_on_and_the_next_question_is_answered() -> None:
    one = Aside()
    said: list[object] = []
    worker = threading.Thread(target=lambda: said.append(one.answer(time.sleep, 600)))
    worker.start()
    while not one._going:
        time.sleep(0.01)
    with one.changing():
        worker.join(60)
        assert said == [None]
        assert one.rest_s() == 0.0
    assert one.answer(int, "7") == 7


def test_nothing_begins_within_a_change_or_shortly_after(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aside, "QUIET_S", 3600.0)
    one = Aside()
    with one.changing():
        assert one.answer(int, "7") is None
    assert one.answer(int, "7") is None
    assert 3500 < one.rest_s() <= 3600


def test_what_is_refused_or_at_fault_over_there_is_told_here(tmp_path: Path) -> None:
    one = Aside()
    with pytest.raises(OhmwrightError, match=r"rig\.yaml"):
        one.answer(typical_of_text, str(tmp_path), "no rig at all")
    with pytest.raises(FaultError, match="ZeroDivisionError"):
        one.answer(divmod, 1, 0)
    assert one.answer(int, "7") == 7


def test_the_year_of_the_second_beat_is_that_of_the_rig_as_it_was_and_as_it_is(bench: Asked) -> None:
    was = bench.opened("trailer")
    bench.put("trailer", "fridge.duty", "0.9 summer / 0.6 shoulder")
    now = bench.opened("trailer")
    stream = bench.get(f"/jobs/trailer/beat?was={was}&becomes={now}&drawn=1").text
    row = re.search(r"energy not served in the year(?:</a>)?</td>(.*?)</tr>", stream.replace("\ndata: ", ""))
    assert row
    told = [float(re.sub(r"[^\d.]", "", cell)) for cell in re.findall(r'class="fig">([^<]*)<', row[1])]
    year = typical(open_rig(str(bench.folder / "trailer"))).almanac.year
    assert told[1] == pytest.approx(sum(m.unserved_kWh for m in year.months), rel=6e-4)
    assert told[0] < told[1]


def test_every_change_on_the_bench_stirs_what_runs_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(aside, "QUIET_S", 60.0)
    like(str(tmp_path / "trailer"), "trailer")
    bench = Bench(str(tmp_path))
    assert bench.aside.stirred == 0

    opened = bench.desk.look("trailer").sha256
    done = bench.desk.put("trailer", opened, (Put("W12.length", "1.9 m"),))
    assert bench.aside.stirred == 1
    assert bench.aside.rest_s() > 0
    bench.desk.step("trailer", done.after.sha256, -1)
    assert bench.aside.stirred == 2
