"""Take the pictures of docs/tour.md: the sheets of a demo job, wide and on a phone.

.venv/bin/python scripts/picture_tour.py
"""

import tempfile
import threading
import time
from pathlib import Path

import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright

from ohmwright.services.new import like
from ohmwright.web.app import make_app

OUT = Path(__file__).parents[1] / "docs" / "tour"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
]
MOST_BYTES = 150_000
#: Pictures are shown smaller than they were taken.
SCALE = 0.58
WIDE, PHONE = (1400, 900), (390, 844)


def main() -> None:
    """Serve a demo folder, visit the sheets, keep a picture of each."""
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        for demo in ("trailer", "boat", "cabin", "van"):
            like(str(Path(folder) / demo), demo)
        server = uvicorn.Server(uvicorn.Config(make_app(folder), host="127.0.0.1", port=0, log_level="error"))
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.05)
        address = f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
        with sync_playwright() as playwright:
            chromium = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
            _take(chromium, address)
            chromium.close()
        server.should_exit = True
        thread.join(5)


def _take(chromium: Browser, address: str) -> None:
    wide = chromium.new_page(viewport={"width": WIDE[0], "height": WIDE[1]}, device_scale_factor=SCALE)
    for job in ("boat", "cabin", "trailer", "van"):
        wide.goto(f"{address}/jobs/{job}/job")
    for name, path in (
        ("register", "/"),
        ("check", "/jobs/trailer/check"),
        ("why", "/jobs/trailer/why?what=A5&subject=W07.%2B"),
        ("interview", "/jobs/trailer/interview?find=fridge"),
        ("places", "/jobs/trailer/places"),
        ("almanac", "/jobs/trailer/almanac?years=64"),
    ):
        wide.set_default_timeout(60_000)
        wide.goto(address + path)
        _keep(wide, name)
    wide.goto(f"{address}/jobs/trailer/one-line?choose=W20")
    _keep(wide, "one-line")
    wide.get_by_label("cable", exact=True).fill("12 AWG 105C red")
    wide.get_by_label("cable", exact=True).press("Enter")
    wide.wait_for_selector("body[data-beat=year]")
    _keep(wide, "what-follows")
    phone = chromium.new_page(viewport={"width": PHONE[0], "height": PHONE[1]}, color_scheme="dark")
    phone.goto(f"{address}/jobs/trailer/one-line?choose=F2")
    _keep(phone, "phone-dark")


def _keep(page: Page, name: str) -> None:
    page.wait_for_timeout(300)
    data = page.screenshot(path=OUT / f"{name}.png")
    if len(data) > MOST_BYTES:
        raise SystemExit(
            f"{name}.png has {len(data)} bytes, more than {MOST_BYTES}: make the window or its scale smaller"
        )


if __name__ == "__main__":
    main()
