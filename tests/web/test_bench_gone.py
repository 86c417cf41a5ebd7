"""A bench that ends under open sheets: what is typed is told not to be put, and stays typed; addresses hold after a restart."""

import re
import threading
import time
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import expect, sync_playwright
from tests.web.conftest import Asked, Served
from tests.web.test_browser import FLAGS, PATIENCE_MS, PHONE, WIDE

from ohmwright.web.app import make_app


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


def test_types_and_scripts_are_asked_for_by_their_tag_and_what_tells_of_a_job_is_kept_nowhere(
    served: Served, reading: Asked
) -> None:
    del served  # it makes the bundle
    first = reading.get("/static/bench.css")
    assert first.headers["cache-control"] == "no-cache"
    assert reading.get("/static/bench.css", **{"if-none-match": first.headers["etag"]}).status_code == 304
    assert reading.get("/jobs/trailer/check").headers["cache-control"] == "no-store"
    assert re.search(r"font-display: ?swap", first.text)
