"""Long work goes on beside the sheets: told, ended on request, taken up again after a restart."""

import json
import re
import threading
import time
from pathlib import Path
from typing import Any

import pytest
from tests.web.conftest import Asked

from ohmwright.store import wishes
from ohmwright.web import wanted
from ohmwright.web.bench import Bench
from ohmwright.web.child import CutOffError, in_child
from ohmwright.web.works import Work, Works


class Held:
    """Work in the place of another process: it waits until it is let go, or is ended."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.go = threading.Event()
        self.asked: list[tuple[Any, ...]] = []
        monkeypatch.setattr(wanted, "in_child", self._in_child)

    def _in_child(self, work: Work[Any], do: Any, *about: Any) -> Any:
        self.asked.append((do.__name__, *about))
        while not self.go.wait(0.01):
            work.heed("paper 3 of 9")
        return None


def _until(true: Any) -> None:
    end = time.monotonic() + 10
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_papers_are_begun_at_once_and_told_while_they_are_made(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = Held(monkeypatch)
    assert bench.post("/jobs/trailer/papers", {}).status_code == 303
    _until(lambda: "paper 3 of 9" in bench.get("/jobs/trailer/papers/state").text)
    assert "The papers are made: paper 3 of 9" in bench.get("/jobs/trailer/papers").text
    again = bench.post("/jobs/trailer/papers", {})
    assert again.status_code == 303
    assert len(held.asked) == 1, "what goes on already is not begun twice"
    held.go.set()
    _until(lambda: bench.get("/jobs/trailer/papers/state").status_code == 204)
    assert wishes.open_wishes(bench.folder / "trailer") == {}


def test_papers_that_are_stopped_are_not_taken_up_again(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    Held(monkeypatch)
    bench.post("/jobs/trailer/papers", {})
    _until(lambda: wishes.open_wishes(bench.folder / "trailer"))
    bench.post("/jobs/trailer/papers/stop", {})
    assert "Stopped." in bench.get("/jobs/trailer/papers").text
    assert wishes.open_wishes(bench.folder / "trailer") == {}


def test_what_a_restart_cut_off_is_begun_again(bench: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    wishes.note(bench.folder / "trailer", "papers-working", {"what": "papers", "letter": "", "units": "us"})
    held = Held(monkeypatch)
    after = Bench(str(bench.folder))
    wanted.go_on(after, "trailer")
    _until(lambda: held.asked)
    assert held.asked[0][0] == "_papers"
    assert held.asked[0][-1] == "us"
    held.go.set()


def test_a_wish_outlives_the_end_of_the_bench_but_not_a_refusal(
    bench: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut_off(*_: Any) -> None:
        raise CutOffError

    monkeypatch.setattr(wanted, "in_child", cut_off)
    bench.post("/jobs/trailer/papers", {})
    _until(lambda: bench.get("/jobs/trailer/papers/state").status_code == 204)
    assert list(wishes.open_wishes(bench.folder / "trailer")) == ["papers-working"]


@pytest.mark.parametrize("damage", ["", "[]", "{", '{"what": 3}', '{"what": "rm -rf"}', '{"what": "papers", "letter": "../.."}'])  # fmt: skip
def test_a_damaged_wish_does_no_harm(bench: Asked, damage: str) -> None:
    (bench.folder / "trailer" / "works").mkdir()
    (bench.folder / "trailer" / "works" / "x.json").write_text(damage, encoding="utf-8")
    after = Bench(str(bench.folder))
    wanted.go_on(after, "trailer")
    assert after.works.get("papers trailer") is None


def test_a_refusal_in_the_other_process_is_told_here(tmp_path: Path) -> None:
    works: Works[int] = Works()
    work = works.begin(
        "x", lambda w: in_child(w, wanted._papers, str(tmp_path / "nothing"), str(tmp_path), "")
    )
    work.wait(60)
    assert "there is no such file" in work.trouble


@pytest.mark.slow
def test_the_other_process_is_ended_within_moments(bench: Asked) -> None:
    bench.post("/jobs/trailer/almanac/begin", {})
    _until(lambda: bench.get("/jobs/trailer/almanac/state").status_code == 200)
    began = time.monotonic()
    bench.post("/jobs/trailer/almanac/stop", {})
    assert time.monotonic() - began < 6.0
    assert bench.get("/jobs/trailer/almanac/state").status_code == 204
    assert "Stopped" in bench.get("/jobs/trailer/almanac").text


@pytest.mark.slow
def test_an_edit_is_answered_while_papers_are_made_and_the_papers_are_those_of_the_command(
    bench: Asked,
) -> None:
    bench.post("/jobs/trailer/papers", {})
    assert bench.put("trailer", "W12.length", "1.4 m").status_code == 303
    assert bench.get("/jobs/trailer/papers/state").status_code == 200, "the papers are still being made"
    end = time.monotonic() + 400
    while bench.get("/jobs/trailer/papers/state").status_code == 200:
        assert time.monotonic() < end
        time.sleep(0.5)
    page = bench.get("/jobs/trailer/papers").text
    told = json.loads(
        (bench.folder / "trailer" / "papers" / "working" / "papers.json").read_text(encoding="utf-8")
    )
    assert [p["file"] for p in told["papers"]] == re.findall(r'papers/file/([^"]+)"', page)
    assert "are of an older text" in page or told["input_sha256"] == bench.opened("trailer")
