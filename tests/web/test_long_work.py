"""Long work goes on beside the sheets: told, ended on request, taken up again after a restart."""

import json
import re
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import httpx
import pytest
from tests.web.conftest import Asked, ended

from ohmwright.services import papers
from ohmwright.services.new import like
from ohmwright.store import wishes
from ohmwright.web import wanted
from ohmwright.web.app import make_app
from ohmwright.web.bench import Bench
from ohmwright.web.child import CutOffError, in_child
from ohmwright.web.works import StoppedError, Work, Works


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


def _until(true: Any, seconds: float = 30.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def _almanac(bench: Asked) -> str:
    """The almanac once its typical year is there."""
    bench.get("/jobs/trailer/almanac")
    ended(bench, "trailer", "year")
    return bench.get("/jobs/trailer/almanac").text


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
def test_the_other_process_is_ended_within_moments(
    bench: Asked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # years that another test has kept would end it first
    monkeypatch.setenv("OHMWRIGHT_CACHE", str(tmp_path / "cache"))
    bench.post("/jobs/trailer/almanac/begin", {})
    _until(lambda: bench.get("/jobs/trailer/almanac/state").status_code == 200)
    began = time.monotonic()
    bench.post("/jobs/trailer/almanac/stop", {})
    assert time.monotonic() - began < 6.0
    assert bench.get("/jobs/trailer/almanac/state").status_code == 204
    assert "Stopped" in _almanac(bench)


@pytest.mark.slow
def test_an_edit_is_answered_while_papers_are_made_and_the_papers_are_those_of_the_command(
    bench: Asked,
) -> None:
    bench.post("/jobs/trailer/papers", {})
    assert bench.put("trailer", "W12.length", "1.4 m").status_code == 303
    assert bench.get("/jobs/trailer/papers/state").status_code == 200, "the papers are still being made"
    page = ended(bench, "trailer", "papers")
    told = json.loads(
        (bench.folder / "trailer" / "papers" / "working" / "papers.json").read_text(encoding="utf-8")
    )
    assert [p["file"] for p in told["papers"]] == re.findall(r'papers/file/([^"]+)"', page)
    assert "are of an older text" in page or told["input_sha256"] == bench.opened("trailer")


@pytest.mark.parametrize(
    ("what", "facts", "do"),
    [
        ("almanac", {}, "_almanac"),
        ("mend", {}, "_mend"),
        ("change-order", {"old": "working", "new": "rig-swapped.yaml"}, "_order"),
    ],
)
def test_every_kind_of_long_work_is_taken_up_again(
    bench: Asked, monkeypatch: pytest.MonkeyPatch, what: str, facts: dict[str, str], do: str
) -> None:
    wishes.note(bench.folder / "trailer", f"{what}-working", {"what": what, "letter": "", **facts})
    held = Held(monkeypatch)
    wanted.go_on(Bench(str(bench.folder)), "trailer")
    _until(lambda: held.asked)
    assert held.asked[0][0] == do
    assert held.asked[0][len(held.asked[0]) - len(facts) :] == tuple(facts.values())
    held.go.set()
    _until(lambda: wishes.open_wishes(bench.folder / "trailer") == {})


def test_papers_that_were_made_before_the_end_are_not_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    like(str(tmp_path / "van"), "van")
    made: list[str] = []
    usual = papers._made

    def counted(folder: Path, planned: Any, press: Any) -> Any:
        made.append(planned.file)
        return usual(folder, planned, press)

    def until_three(told: str) -> None:
        if told.startswith("paper 3"):
            raise StoppedError

    monkeypatch.setattr(papers, "_made", counted)
    with pytest.raises(StoppedError):
        papers.papers(str(tmp_path / "van"), str(tmp_path / "out"), years=1, heed=until_three)
    first, made[:] = set(made), []
    assert not (tmp_path / "out" / "papers.json").exists()
    done = papers.papers(str(tmp_path / "van"), str(tmp_path / "out"), years=1)
    assert len(first & set(made)) <= len(first) - 3
    assert {p["file"] for p in done.made} == {p.name for p in (tmp_path / "out").iterdir()} - {"papers.json"}


def _bench_process(folder: Path) -> tuple[subprocess.Popen[str], str]:
    bench = subprocess.Popen(
        [str(Path(sys.executable).with_name("ohmwright")), "bench", str(folder), "--port", "0"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert bench.stdout is not None
    found = re.search(r"http://\S+?:\d+", bench.stdout.readline())
    assert found
    return bench, found[0]


def _children(pid: int) -> list[int]:
    """Those of every thread: work is begun by one of its own."""
    return [int(n) for told in Path(f"/proc/{pid}/task").glob("*/children") for n in told.read_text().split()]


@pytest.mark.slow
def test_a_bench_that_is_killed_leaves_nobody_at_work_and_the_next_one_finishes_it(bench: Asked) -> None:
    first, address = _bench_process(bench.folder)
    with first, httpx.Client(base_url=address, timeout=600) as client:
        try:
            token = re.search(r'data-token="([^"]+)"', client.get("/").text)
            assert token
            data = {"token": token[1], "old": "working", "new": "rig-swapped.yaml"}
            assert client.post("/jobs/trailer/change-order/paper", data=data).status_code == 303
            _until(lambda: _children(first.pid), 300)
            at_work = _children(first.pid)
        finally:
            first.kill()
    _until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in at_work), 300)
    assert list(wishes.open_wishes(bench.folder / "trailer")) == ["change-order-working"]
    second, address = _bench_process(bench.folder)
    with second, httpx.Client(base_url=address, timeout=600) as client:
        try:
            client.get("/")
            _until(lambda: wishes.open_wishes(bench.folder / "trailer") == {}, 600)
            page = client.get("/jobs/trailer/change-order?old=working&new=rig-swapped.yaml").text
            assert "change-order.pdf" in page
        finally:
            second.terminate()


@pytest.mark.slow
def test_years_that_were_worked_out_are_found_by_the_next_bench(bench: Asked) -> None:
    bench.post("/jobs/trailer/almanac/begin", {})
    ended(bench, "trailer", "almanac")
    assert "64 made years beside it" in _almanac(bench)
    later = Asked(make_app(str(bench.folder)), bench.folder)
    assert "64 made years beside it" in _almanac(later)
    later.put("trailer", "W12.length", "1.4 m")
    assert "A typical year." in _almanac(later), "another rig has other years"
