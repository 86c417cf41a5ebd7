"""Take the pictures of docs/tour.md: every sheet of the bench, wide and on a phone.

.venv/bin/python scripts/picture_tour.py            all of them
.venv/bin/python scripts/picture_tour.py check roof  some
"""

import base64
import struct
import sys
import tempfile
import threading
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright

from ohmwright.services.new import First, from_nothing, like
from ohmwright.web.app import make_app
from ohmwright.web.serve import STATIC

OUT = Path(__file__).parents[1] / "docs" / "tour"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
]
MOST_BYTES = 90_000
#: Pictures are shown smaller than they were taken.
SCALE = 0.72
WIDE, PHONE = (1400, 900), (390, 844)
#: The van that is drawn from nothing for the pictures: its parts and runs, in the words of the file.
PARTS = {
    "B": "{is: battery-lfp-100ah-12v, at: locker}",
    "M": "{is: module-230w, at: roof}",
    "U1": "{is: pv-controller-20a-100v, at: locker}",
    "F1": "{is: fuse-class-t-80a, at: locker}",
    "F2": "{is: fuse-dc-small-30a-80v, at: locker}",
    "XP": "{is: busbar-100a-6stud, at: locker}",
    "XN": "{is: busbar-100a-6stud, at: locker}",
    "PD": "{is: panel-dc-6way, at: galley, ways: {1: 10 A, 2: 5 A, 3: 5 A}}",
}
RUNS = {
    "W01": "{from: M, to: U1.pv, cable: pv 4 mm2, length: 3 m}",
    "W02": "{from: U1.bat.+, to: F2.line, cable: 6 mm2 70C red, length: 0.4 m}",
    "W03": "{from: F2.load, to: XP.1, cable: 6 mm2 70C red, length: 0.2 m}",
    "W04": "{from: B.+, to: F1.line, cable: 16 mm2 70C red, length: 0.15 m}",
    "W05": "{from: F1.load, to: XP.2, cable: 16 mm2 70C red, length: 0.4 m}",
    "W06": "{from: B.-, to: XN.1, cable: 16 mm2 70C black, length: 0.5 m}",
}

#: The folder of the pictures is called jobs, wherever it lies.
NAMED_JOBS = """(where) => {
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const text = walk.currentNode;
        if (text.data.includes(where)) text.data = text.data.replace(/\\/\\S*\\/tmp[^\\/\\s]*/, "jobs");
    }
}"""

Visit = Callable[[Page, str], None]


def main() -> None:
    """Serve a demo folder, visit the sheets, keep a picture of each."""
    OUT.mkdir(exist_ok=True)
    wanted = set(sys.argv[1:])
    if not (STATIC / "bench.js").is_file():
        raise SystemExit("the scripts of the bench are not bundled yet: node scripts/build_web.mjs")
    with tempfile.TemporaryDirectory() as folder, _served(folder) as address, sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        for name, (kind, visit) in PICTURES.items():
            if not wanted or name in wanted:
                _keep(_page(chromium, kind), name, address, visit)
        chromium.close()
    told = sum((OUT / f"{name}.png").stat().st_size for name in PICTURES if (OUT / f"{name}.png").is_file())
    sys.stdout.write(f"{len(PICTURES)} pictures, {told / 1000:.0f} kB together\n")


@contextmanager
def _served(folder: str) -> Iterator[str]:
    for demo in ("trailer", "boat", "cabin", "van"):
        like(str(Path(folder) / demo), demo)
    _sprat(Path(folder) / "sprat")
    server = uvicorn.Server(uvicorn.Config(make_app(folder), host="127.0.0.1", port=0, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.05)
    yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    server.should_exit = True
    thread.join(5)


def _sprat(folder: Path) -> None:
    """A van half drawn."""
    places = (("roof", "outside"), ("locker", "cabin"), ("galley", "cabin"))
    from_nothing(str(folder), First("Sprat, a small van", "van", "eu", "Ines", places=places))
    file = folder / "rig.yaml"
    lines = [
        "parts:",
        *(f"  {k}: {v}" for k, v in PARTS.items()),
        "runs:",
        *(f"  {k}: {v}" for k, v in RUNS.items()),
    ]
    file.write_text(
        file.read_text(encoding="utf-8").replace("parts:\nruns:\n", "\n".join([*lines, ""])), encoding="utf-8"
    )


def _page(chromium: Browser, kind: str) -> Page:
    if kind == "wide":
        page = chromium.new_page(viewport={"width": WIDE[0], "height": WIDE[1]}, device_scale_factor=SCALE)
    else:
        page = chromium.new_page(
            viewport={"width": PHONE[0], "height": PHONE[1]},
            color_scheme="dark" if kind == "dark" else "light",
        )
    page.set_default_timeout(120_000)
    return page


# ------------------------------------------------------------------------------------------------------ the visits


def _when_run(path: str) -> Visit:
    """A sheet that waits for the typical year, once that has taken its place."""

    def visit(page: Page, address: str) -> None:
        page.goto(address + path)
        page.locator("#going").wait_for(state="detached")

    return visit


def _at(path: str, scroll: str = "") -> Visit:
    """A sheet as it opens; `scroll` names what stands at its top."""

    def visit(page: Page, address: str) -> None:
        page.goto(address + path)
        if scroll:
            page.locator(scroll).first.evaluate("e => e.scrollIntoView()")

    return visit


def _register(page: Page, address: str) -> None:
    for job in ("boat", "cabin", "trailer", "van", "sprat"):
        page.goto(f"{address}/jobs/{job}/job")
    page.goto(address + "/")


def _new_run(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/sprat/one-line?new=run&from=XP&to=PD.feed")
    page.locator("#run-length").fill("1.2 m")


def _interview(query: str, scroll: str = "") -> Visit:
    """The interview sheet once its nights are counted."""

    def visit(page: Page, address: str) -> None:
        page.goto(f"{address}/jobs/trailer/interview{query}")
        page.get_by_text("Week by week in the almanac").wait_for()
        if scroll:
            page.locator(scroll).first.evaluate("e => e.scrollIntoView()")

    return visit


def _holds(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/trailer/one-line?choose=W20")
    page.get_by_text("rules hold here").click()


def _cut(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/trailer/one-line?choose=W20")
    page.get_by_text("Put a device into W20").click()
    page.locator(".schedule").evaluate("e => { e.scrollTop = 205; }")


def _what_follows(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/trailer/one-line?choose=M")
    page.get_by_text("Other modules, or another").click()
    page.locator("#st-part").select_option("module-410w")
    page.locator("#st-series").fill("3")
    page.locator("#st-strings").fill("1")
    page.locator("#st-cable").fill("pv 10 AWG")
    page.locator("#st-cable").press("Enter")
    page.wait_for_selector("#year-lines td.fig")


def _why(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/trailer/why?what=A1&subject=M.1")
    for used in page.locator("details.used summary").all():
        used.click()


def _mend(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/trailer/mend")
    page.get_by_role("button", name="Look for answers").click()
    page.wait_for_selector("ol.answers", timeout=300_000)


def _order(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/trailer/change-order?old=working&new=rig-swapped.yaml")


def _papers(page: Page, address: str) -> None:
    page.goto(f"{address}/jobs/boat/papers")
    page.get_by_role("button", name="Make").first.click()
    page.wait_for_selector("table.ruled a", timeout=240_000)


PICTURES: dict[str, tuple[str, Visit]] = {
    "register": ("wide", _register),
    "from-nothing": ("wide", _at("/new/nothing")),
    "job": ("wide", _at("/jobs/boat/job")),
    "new-part": ("wide", _at("/jobs/sprat/one-line?new=part&find=fuse+20")),
    "new-run": ("wide", _new_run),
    "cut-in": ("wide", _cut),
    "one-line": ("wide", _holds),
    "three-line": ("wide", _at("/jobs/cabin/one-line?sheet=three-line&choose=U2")),
    "check": ("wide", _at("/jobs/boat/check")),
    "missing": ("wide", _at("/jobs/boat/check", "#missing")),
    "interview": ("wide", _interview("?find=fridge&take=1")),
    "stays": ("wide", _interview("", "#stays")),
    "places": ("wide", _at("/jobs/trailer/places")),
    "settings": ("wide", _at("/jobs/boat/settings")),
    "roof": ("wide", _at("/jobs/trailer/roof")),
    "almanac": ("wide", _when_run("/jobs/trailer/almanac")),
    "why-week": ("wide", _when_run("/jobs/trailer/why?what=year/sun&subject=week-41")),
    "stay": ("wide", _when_run("/jobs/trailer/almanac/stay/1?from=150&days=15")),
    "papers": ("wide", _papers),
    "shelf": ("wide", _at("/shelf?find=fuse+30")),
    "add-to-shelf": ("wide", _at("/shelf/add?kind=fuse")),
    "prove": ("wide", _at("/shelf/part/battery-lfp-200ah-12v?job=trailer")),
    "phone-places": ("phone", _at("/jobs/trailer/places", "#place-side-bay")),
    "change-order": ("wide", _order),
    "mend": ("wide", _mend),
    "what-follows": ("wide", _what_follows),
    "why": ("wide", _why),
    "phone-dark": ("dark", _at("/jobs/cabin/one-line?choose=U2")),
    "phone-run": ("phone", _new_run),
    "phone-check": ("phone", _at("/jobs/boat/check")),
    "phone-loads": ("phone", _interview("")),
}


# ------------------------------------------------------------------------------------------------------ the pictures


def _keep(page: Page, name: str, address: str, visit: Visit) -> None:
    visit(page, address)
    page.wait_for_timeout(400)
    page.evaluate(NAMED_JOBS, tempfile.gettempdir())
    data = _in_few_colours(page, page.screenshot())
    (OUT / f"{name}.png").write_bytes(data)
    if len(data) > MOST_BYTES:
        raise SystemExit(f"{name}.png has {len(data)} bytes, more than {MOST_BYTES}: make its window smaller")
    page.close()


def _in_few_colours(page: Page, png: bytes) -> bytes:
    """The same picture with a palette: sheets are ink on white, so 64 colours are enough."""
    page.goto("about:blank")
    width, height, raw = page.evaluate(
        """async (data) => {
            const image = new Image();
            image.src = "data:image/png;base64," + data;
            await image.decode();
            const canvas = new OffscreenCanvas(image.width, image.height);
            const context = canvas.getContext("2d");
            context.drawImage(image, 0, 0);
            const bytes = context.getImageData(0, 0, image.width, image.height).data;
            let text = "";
            for (let n = 0; n < bytes.length; n += 32768) text += String.fromCharCode(...bytes.subarray(n, n + 32768));
            return [image.width, image.height, btoa(text)];
        }""",
        base64.b64encode(png).decode(),
    )
    rgb = (
        np.frombuffer(base64.b64decode(raw), dtype=np.uint8)
        .reshape(height * width, 4)[:, :3]
        .astype(np.int32)
    )
    rough = (rgb + 8) // 16
    keys = rough[:, 0] * 289 + rough[:, 1] * 17 + rough[:, 2]
    found, where, counts = np.unique(keys, return_inverse=True, return_counts=True)
    kept = np.argsort(-counts)[:64]
    means = np.stack([np.bincount(where, weights=rgb[:, k]) / counts for k in range(3)], axis=1)
    palette = means[kept]
    nearest = np.argmin(((means[:, None, :] - palette[None, :, :]) ** 2).sum(axis=2), axis=1)
    indices = nearest[where].astype(np.uint8).reshape(height, width)
    rows = b"".join(b"\0" + row.tobytes() for row in indices)
    del found
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        _chunk(kind, body)
        for kind, body in (
            (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)),
            (b"PLTE", np.rint(palette).astype(np.uint8).tobytes()),
            (b"IDAT", zlib.compress(rows, 9)),
            (b"IEND", b""),
        )
    )


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


if __name__ == "__main__":
    main()
