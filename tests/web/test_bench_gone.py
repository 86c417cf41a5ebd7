"""A bench that ends under open sheets: what is typed is told not to be put, and stays typed; addresses hold after a restart."""

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Page, expect, sync_playwright
from tests.web.conftest import Asked, Served
from tests.web.test_browser import FLAGS, PATIENCE_MS, PHONE, WIDE

from ohmwright.web.app import make_app
from ohmwright.web.key import state_folder, token_of


def _serve(folder: Path, port: int = 0) -> tuple[uvicorn.Server, threading.Thread, int]:
    server = uvicorn.Server(
        uvicorn.Config(make_app(str(folder)), host="127.0.0.1", port=port, log_level="error")
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        assert thread.is_alive()
        time.sleep(0.01)
    return server, thread, server.servers[0].sockets[0].getsockname()[1]


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_value_put_to_a_bench_that_is_gone_is_told_not_to_be_put(
    bench: Asked, size: tuple[int, int]
) -> None:
    server, thread, port = _serve(bench.folder)
    before = bench.text("trailer")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        page = chromium.new_context(viewport={"width": size[0], "height": size[1]}).new_page()
        page.set_default_timeout(PATIENCE_MS)
        expect.set_options(timeout=PATIENCE_MS)
        page.goto(f"http://127.0.0.1:{port}/jobs/trailer/one-line?choose=W20")
        server.should_exit = server.force_exit = True
        thread.join(10)
        field = page.locator('[name="set.W20.length"]')
        field.fill("3.9 m")
        field.press("Enter")
        expect(page.locator("#said")).to_contain_text("Not put: the bench does not answer.")
        expect(page.locator("#said")).to_be_in_viewport()
        expect(field).to_have_value("3.9 m")
        assert bench.text("trailer") == before
        again, thread, _ = _serve(bench.folder, port)
        page.reload()
        assert page.url.endswith("?choose=W20"), "an address holds after a restart"
        page.locator('[name="set.W20.length"]').fill("3.9 m")
        page.locator('[name="set.W20.length"]').press("Enter")
        expect(page.locator("#follows")).to_contain_text("W20.length")
        assert "3.9 m" in bench.text("trailer")
        again.should_exit = again.force_exit = True
        thread.join(10)
        chromium.close()


class Command:
    """The command itself, in a process that can be killed and started again on the same port."""

    def __init__(self, folder: Path, state: Path) -> None:
        self.folder, self.state, self.port = folder, state, 0
        self.start()

    def start(self) -> None:
        """Start it, and wait until it says where it is."""
        self.child = subprocess.Popen(
            [sys.executable, "-m", "ohmwright", "bench", str(self.folder), "--port", str(self.port)],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "XDG_STATE_HOME": str(self.state)},
        )
        assert self.child.stdout is not None
        found = re.search(r":(\d+)/", self.child.stdout.readline())
        assert found
        self.port = int(found[1])

    def kill(self) -> None:
        """As a power cut does."""
        self.child.send_signal(signal.SIGKILL)
        self.child.communicate()


@contextmanager
def _commanded(folder: Path, state: Path) -> Iterator[Command]:
    command = Command(folder, state)
    try:
        yield command
    finally:
        command.kill()


@contextmanager
def _sheet(port: int, path: str, size: tuple[int, int], *, scripts: bool = True) -> Iterator[Page]:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]}, java_script_enabled=scripts
        )
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        expect.set_options(timeout=PATIENCE_MS)
        page.goto(f"http://127.0.0.1:{port}{path}")
        yield page
        chromium.close()


@pytest.mark.slow
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_the_first_value_put_after_a_killed_bench_was_started_again_goes_through(
    bench: Asked, tmp_path: Path, size: tuple[int, int]
) -> None:
    with (
        _commanded(bench.folder, tmp_path / "state") as command,
        _sheet(command.port, "/jobs/trailer/one-line?choose=W20", size) as page,
    ):
        field = page.locator('[name="set.W20.length"]')
        command.kill()
        field.fill("3.9 m")
        field.press("Enter")
        expect(page.locator("#said")).to_contain_text("Not put: the bench does not answer.")
        expect(field).to_have_value("3.9 m")
        command.start()
        field.press("Enter")
        expect(page.locator("#follows")).to_contain_text("W20.length")
        expect(page.locator("#said")).to_be_empty()
        assert "3.9 m" in bench.text("trailer")


@pytest.mark.slow
def test_a_file_changed_while_the_bench_was_away_ends_in_the_ordinary_conflict(
    bench: Asked, tmp_path: Path
) -> None:
    file = bench.folder / "trailer" / "rig.yaml"
    with (
        _commanded(bench.folder, tmp_path / "state") as command,
        _sheet(command.port, "/jobs/trailer/one-line?choose=W20", WIDE) as page,
    ):
        command.kill()
        file.write_text(file.read_text(encoding="utf-8") + "# by another hand\n", encoding="utf-8")
        command.start()
        page.locator('[name="set.W20.length"]').fill("3.9 m")
        page.locator('[name="set.W20.length"]').press("Enter")
        expect(page.locator("#said")).to_contain_text("changed by someone else")
        assert "3.9 m" not in file.read_text(encoding="utf-8")
        page.get_by_role("button", name="Put mine on top of theirs").click()
        page.wait_for_url(re.compile("one-line"))
        text = file.read_text(encoding="utf-8")
        assert "3.9 m" in text
        assert "# by another hand" in text


@pytest.mark.slow
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_load_typed_into_a_form_stays_typed_while_the_bench_is_away_and_is_put_once_however_often_it_is_pressed(
    bench: Asked, tmp_path: Path, size: tuple[int, int]
) -> None:
    with (
        _commanded(bench.folder, tmp_path / "state") as command,
        _sheet(command.port, "/jobs/trailer/interview", size) as page,
    ):
        page.get_by_text("Add a load by hand").click()
        form = page.locator("#add form")
        form.locator('[name="name"]').fill("lantern")
        form.locator('[name="power"]').fill("7 W")
        button = form.locator("button.go")
        command.kill()
        button.click()
        expect(form.locator("#said")).to_contain_text("Not put: the bench does not answer.")
        expect(form.locator("#said")).to_be_in_viewport()
        expect(form.locator('[name="name"]')).to_have_value("lantern")
        command.start()
        button.dblclick()
        expect(page.locator("main").get_by_text("lantern").first).to_be_visible()
        assert bench.text("trailer").count("lantern") == 1


@pytest.mark.slow
def test_a_module_moved_while_the_bench_is_away_says_so_beside_the_plan_and_is_put_by_enter(
    bench: Asked, tmp_path: Path
) -> None:
    with (
        _commanded(bench.folder, tmp_path / "state") as command,
        _sheet(command.port, "/jobs/trailer/roof", PHONE) as page,
    ):
        before = bench.text("trailer")
        page.locator("g.module[tabindex]").first.focus()
        command.kill()
        page.keyboard.press("ArrowLeft")
        expect(page.locator("#chosen-module")).to_contain_text("is not put: the bench does not answer")
        expect(page.locator("#chosen-module")).to_be_in_viewport()
        command.start()
        page.keyboard.press("Enter")
        expect(page.locator("#follows .asked")).to_contain_text("M.")
        assert bench.text("trailer") != before


@pytest.mark.slow
def test_without_scripts_too_a_form_opened_before_the_restart_is_taken_after_it(
    bench: Asked, tmp_path: Path
) -> None:
    with (
        _commanded(bench.folder, tmp_path / "state") as command,
        _sheet(command.port, "/jobs/trailer/one-line?choose=W20", WIDE, scripts=False) as page,
    ):
        command.kill()
        command.start()
        page.locator('[name="set.W20.length"]').fill("3.9 m")
        page.locator("#chosen form").first.get_by_role("button", name="Put it in").click()
        expect(page.locator('[name="set.W20.length"]')).to_have_value("3.9 m")
    assert "3.9 m" in bench.text("trailer")


def test_the_token_lasts_is_another_for_other_jobs_and_its_key_is_for_the_owner_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    first = token_of(str(tmp_path))
    key = state_folder() / "bench.key"
    assert first == token_of(str(tmp_path))
    assert first != token_of(str(tmp_path / "state"))
    assert len(first) == 43, "256 bits"
    assert key.stat().st_mode & 0o777 == 0o600
    assert [f.name for f in key.parent.iterdir()] == ["bench.key"]
    assert key.read_bytes().hex() not in first


@pytest.mark.parametrize("how", ["open to others", "too short", "a link"])
def test_a_key_that_others_could_have_read_or_laid_there_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    known = token_of(str(tmp_path))
    key = state_folder() / "bench.key"
    if how == "open to others":
        key.chmod(0o644)
    elif how == "too short":
        key.write_bytes(b"short")
    else:
        key.rename(tmp_path / "elsewhere")
        key.symlink_to(tmp_path / "elsewhere")
    assert token_of(str(tmp_path)) != known
    assert not key.is_symlink()
    assert key.stat().st_mode & 0o777 == 0o600


def test_where_no_key_can_be_kept_every_run_has_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    assert token_of(str(tmp_path)) != token_of(str(tmp_path))


def test_a_refused_form_brings_back_what_was_written_in_it(bench: Asked) -> None:
    written = {
        "kind": "load",
        "name": "torch <b>",
        "power": "much",
        "back": "/jobs/trailer/interview#loads",
        "opened": bench.opened("trailer"),
    }
    answer = bench.post("/jobs/trailer/add", written)
    assert answer.status_code == 422
    for part in (
        'name="power" value="much"',
        'value="torch &lt;b&gt;"',
        'type="hidden" name="kind" value="load"',
    ):
        assert part in answer.text
    stranger = bench.post("/jobs/trailer/add", {**written, "power": "5 W"}, token="of another bench")
    assert stranger.status_code == 422
    assert 'name="power" value="5 W"' in stranger.text
    assert bench.token() in stranger.text
    assert "of another bench" not in stranger.text


def test_types_and_scripts_are_kept_by_their_contents_and_what_tells_of_a_job_is_kept_nowhere(
    served: Served, reading: Asked
) -> None:
    del served  # it makes the bundle
    plain = reading.get("/static/bench.css")
    assert plain.headers["cache-control"] == "no-cache"
    assert reading.get("/static/bench.css", **{"if-none-match": plain.headers["etag"]}).status_code == 304
    named = re.findall(r"/static/bench\.(?:css|js)\?\w+", reading.get("/").text)
    assert len(named) == 2
    for address in named:
        assert "immutable" in reading.get(address).headers["cache-control"]
        assert "immutable" not in reading.get(address[:-1]).headers["cache-control"], "another version"
    for face in re.findall(r"url\((?:\./)?(type/[^)]+)\)", plain.text):
        assert "immutable" in reading.get(f"/static/{face}").headers["cache-control"]
    assert reading.get("/static/type/none.woff").headers["cache-control"] == "no-store"
    assert reading.get("/jobs/trailer/check").headers["cache-control"] == "no-store"
    assert len(re.findall(r"font-display: ?swap", plain.text)) == plain.text.count("@font-face")
