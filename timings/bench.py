# ruff: noqa: T201 - it prints its table
"""How fast the bench answers: one edit on the open bench against the command that checks the same rig from cold, in turn.

    python timings/bench.py [--rounds 30] [--no-browser]

The bench runs as a process of its own.  Told are the wall time and the processor time of the bench alone, of each edit,
with the load of the machine: under load the wall says more about the neighbours.  In the browser an edit is timed from
the field's change to the moment when findings and drawing of the new text are both swapped in.  Told too is the change
of plan of the README: other modules, until the margin shows the controller that they destroy.
"""

import argparse
import gzip
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median

import httpx

from ohmwright.services.new import from_text, like
from ohmwright.web.serve import STATIC

EDITS = ("W12", "W20", "W13", "W36")
BOARDS, PER_BOARD = 22, 10
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync"]  # fmt: skip


def large(text: str) -> str:
    """The trailer with boards of fused circuits, one fed from the other, until it has about 300 parts."""
    parts, loads, runs = [], [], []
    for k in range(BOARDS):
        parts += [f"  Y{k}P: {{is: busbar-600a-12stud, at: galley}}", f"  Y{k}N: {{is: busbar-600a-12stud, at: galley}}"]  # fmt: skip
        up, down = (f"Y{k - 1}P.12", f"Y{k - 1}N.12") if k else ("XP.6", "XN.7")
        runs += [f"  Y{k}A: {{from: {up}, to: Y{k}P.1, cable: 4/0 AWG 105C red, length: 0.4 m}}",
                 f"  Y{k}B: {{from: Y{k}N.1, to: {down}, cable: 4/0 AWG 105C black, length: 0.4 m}}"]  # fmt: skip
        for n in range(2, 2 + PER_BOARD):
            y = f"y{k}x{n}"
            parts.append(f"  {y.upper()}: {{is: fuse-blade-5a, at: galley}}")
            loads.append(f"    {y}: {{wired: dc, power: {1 + n % 4} W, hours: 2 h, at: galley}}")
            runs += [f"  {y}a: {{from: Y{k}P.{n}, to: {y.upper()}.line, cable: 14 AWG 105C red, length: 0.2 m}}",
                     f"  {y}b: {{from: {y.upper()}.load, to: {y}.+, cable: 14 AWG 105C red, length: 2.{n} m}}",
                     f"  {y}c: {{from: {y}.-, to: Y{k}N.{n}, cable: 14 AWG 105C black, length: 2.{n} m}}"]  # fmt: skip
    for section, lines in (("use:\n", parts), ("  stays:\n", loads), ("settings:\n", runs)):
        head, found, tail = text.partition(f"\n{section}")
        assert found, section
        text = head + "\n" + "\n".join(lines) + found + tail
    return text


class Bench:
    """A bench in a process of its own."""

    def __init__(self, folder: str) -> None:
        began = time.perf_counter()
        self.child = subprocess.Popen(
            [sys.executable, "-m", "ohmwright", "bench", folder, "--port", "0"],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.child.stdout is not None
        found = re.search(r"http://\S+?(?=/?\s)", self.child.stdout.readline() + " ")
        assert found
        self.address = found[0].rstrip("/")
        self.client = httpx.Client(base_url=self.address, timeout=600)
        self.rows: dict[str, str] = {}
        self.client.get("/").raise_for_status()
        self.first_page_s = time.perf_counter() - began
        self.first_page_cpu_s = self.cpu_s()

    def cpu_s(self) -> float:
        """Processor time that the bench has taken so far."""
        fields = Path(f"/proc/{self.child.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def page(self, job: str) -> tuple[str, str]:
        """The token, and the hash of the text that the sheet shows."""
        text = self.client.get(f"/jobs/{job}/one-line", params={"choose": EDITS[0]}).text
        token, opened = (re.search(rf'data-{k}="([^"]+)"', text) for k in ("token", "opened"))
        assert token
        assert opened
        return token[1], opened[1]

    def edit(self, job: str, token: str, opened: str, n: int) -> str:
        """One edit as the sheet's script sends it; the hash after it."""
        run = EDITS[n % len(EDITS)]
        answer = self.client.post(
            f"/jobs/{job}/put",
            headers={"hx-request": "true"},
            data={"token": token, "opened": opened, "piece": "one-line", "choose": run, "list": "runs",
                  "rows": self.rows.get(run, ""), f"set.{run}.length": f"{1 + n / 100:.2f} m"},
        )  # fmt: skip
        if (shown := re.search(r'id="(?:rows|rerowed)"[^>]* data-of="(\w+)"', answer.text)) is not None:
            self.rows[run] = shown[1]
        found = re.search(r'data-opened="(\w+)"', answer.text)
        assert answer.headers.get("x-put") == "done", answer.text[:400]
        assert found
        return found[1]

    def stop(self) -> None:
        """End it."""
        self.client.close()
        self.child.kill()
        self.child.wait()


@contextmanager
def bench(folder: str) -> Iterator[Bench]:
    """A bench that is ended whatever happens."""
    one = Bench(folder)
    try:
        yield one
    finally:
        one.stop()


def cold(folder: str) -> tuple[float, float]:
    """The command that checks the same rig, from nothing: wall and processor time."""
    began, used = time.perf_counter(), getrusage(RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-m", "ohmwright", "check", folder, "--json"], stdout=subprocess.DEVNULL, check=False)  # fmt: skip
    now = getrusage(RUSAGE_CHILDREN)
    return time.perf_counter() - began, now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime


def told(name: str, goes_s: list[float]) -> str:
    """p50 and p95."""
    ranked = sorted(goes_s)
    p95 = ranked[min(len(ranked) - 1, round(0.95 * (len(ranked) - 1)))]
    return f"  {name:44s} p50 {1e3 * median(ranked):7.1f} ms   p95 {1e3 * p95:7.1f} ms   ({len(ranked)} goes)"


def load() -> str:
    """What else the machine has to do."""
    return f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"


def in_turn(one: Bench, job: str, folder: str, rounds: int, every: int) -> None:
    """Edits on the bench and, in between, the cold command."""
    token, opened = one.page(job)
    for n in range(4):
        opened = one.edit(job, token, opened, n)
    walls, cpus, cold_walls, cold_cpus = [], [], [], []
    for n in range(4, 4 + rounds):
        cpu, began = one.cpu_s(), time.perf_counter()
        opened = one.edit(job, token, opened, n)
        walls.append(time.perf_counter() - began)
        time.sleep(0.05)
        cpus.append(one.cpu_s() - cpu)
        if n % every == 0:
            wall, used = cold(folder)
            cold_walls.append(wall)
            cold_cpus.append(used)
    print(told("edit, wall", walls), told("edit, processor of the bench (to 10 ms)", cpus), sep="\n")
    print(told("cold command, wall", cold_walls), told("cold command, processor", cold_cpus), sep="\n")
    print(f"  the cold command takes {median(cold_walls) / median(walls):.1f} times as long as an edit on the bench; {load()}")  # fmt: skip


def in_browser(one: Bench, job: str, rounds: int) -> None:
    """The same edits typed in Chromium, one soon after the other."""
    from playwright.sync_api import sync_playwright

    kept: dict[str, list[float]] = {}
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = chromium.new_page(viewport={"width": 1400, "height": 900})
        page.set_default_timeout(600_000)
        page.goto(f"{one.address}/jobs/{job}/one-line?choose=W12")
        browser = page.context.new_cdp_session(page)
        browser.send("Performance.enable")

        def worked_s() -> dict[str, float]:
            told = {m["name"]: m["value"] for m in browser.send("Performance.getMetrics")["metrics"]}
            return {name: told[key] for name, key in WORKS.items()}

        for n in range(rounds + 4):
            cpu, before = one.cpu_s(), worked_s()
            took = page.evaluate(TIMED, f"{5 + n / 100:.2f} m")
            cpu = one.cpu_s() - cpu
            page.wait_for_timeout(150)
            now = worked_s()
            if n >= 4:
                for name, goes in zip(STEPS, took, strict=True):
                    kept.setdefault(name, []).append(goes / 1e3)
                kept.setdefault("processor of the bench (to 10 ms)", []).append(cpu)
                for name, value in now.items():
                    kept.setdefault(name, []).append(value - before[name])
        chromium.close()
    print(*(told(f"Chromium: {name}", goes_s) for name, goes_s in kept.items()), f"  {load()}", sep="\n")


def swap(one: Bench, job: str, rounds: int) -> None:
    """Six modules in parallel become three larger ones in series: how soon the margin shows the controller that this destroys."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = chromium.new_page(viewport={"width": 1400, "height": 900})
        page.set_default_timeout(120_000)
        line, note, used = [], [], []
        for n in range(rounds + 2):
            page.goto(f"{one.address}/jobs/{job}/one-line?choose=M")
            was = page.locator("#now").get_attribute("data-opened")
            page.get_by_text("Other modules, or another number of strings").click()
            page.locator("#st-part").select_option("module-410w")
            for field, value in (("#st-series", "3"), ("#st-strings", "1"), ("#st-cable", "pv 10 AWG")):
                page.locator(field).fill(value)
            cpu = one.cpu_s()
            took = page.evaluate(SWAPPED)
            if n >= 2:
                line.append(took[0] / 1e3)
                note.append(took[1] / 1e3)
                used.append(one.cpu_s() - cpu)
            page.get_by_role("button", name=re.compile("^Undo")).click()
            page.wait_for_function("(was) => document.querySelector('#now')?.dataset.opened === was", arg=was)
        chromium.close()
    print(told("swap of modules: the destroyed controller follows", line))
    print(told("swap of modules: and its note in the margin", note))
    print(told("swap of modules: processor of the bench till then", used), f"  {load()}", sep="\n")


#: Sends the form; the times at which what follows, and the notes, tell of the destroyed controller.
SWAPPED = """() => new Promise((done) => {
  const form = document.querySelector('#st-cable').form;
  const said = (where, ...words) => words.every((w) => document.querySelector(where)?.textContent.includes(w));
  const began = performance.now();
  let first = 0;
  const look = () => {
    if (!first && said('#follows', "against the controller's maximum", 'DANGER')) first = performance.now() - began;
    if (!first || !said('#notes', 'it is destroyed on a cold clear morning')) return;
    watch.disconnect();
    done([first, performance.now() - began]);
  };
  const watch = new MutationObserver(look);
  watch.observe(document.body, { subtree: true, childList: true, characterData: true });
  form.requestSubmit();
})"""


STEPS = ("electrical result swapped", "and the drawing", "of it waiting for the answer")
WORKS = {
    "scripts, with 150 ms after it": "ScriptDuration",
    "style": "RecalcStyleDuration",
    "layout": "LayoutDuration",
}

#: Types a value as a person leaves the field; the times at which findings and drawing of the new text are there.
TIMED = """(value) => new Promise((done) => {
  const field = document.querySelector('#chosen input[name="set.W12.length"]');
  const before = document.querySelector('#now').dataset.opened;
  performance.clearResourceTimings();
  field.value = value;
  const began = performance.now();
  let first = 0;
  const look = () => {
    const now = document.querySelector('#now').dataset.opened;
    if (now === before) return;
    first = first || performance.now() - began;
    if (document.querySelector('#circuit').dataset.of !== now) return;
    watch.disconnect();
    const whole = performance.now() - began;
    setTimeout(() => {
      const asked = performance.getEntriesByType('resource').find((e) => e.name.endsWith('/put'));
      done([first, whole, asked.responseEnd - began]);
    });
  };
  const watch = new MutationObserver(look);
  watch.observe(document.body, { subtree: true, childList: true, attributes: true });
  field.dispatchEvent(new Event('change', { bubbles: true }));
})"""


def bundle() -> str:
    """What the browser loads beside the page: scripts and styles, packed."""
    sizes = {f.name: len(gzip.compress(f.read_bytes())) for f in sorted(STATIC.glob("bench.*")) if f.suffix in (".js", ".css")}  # fmt: skip
    return f"bundle, gzipped: {', '.join(f'{n} {s / 1e3:.1f} kB' for n, s in sizes.items())}, together {sum(sizes.values()) / 1e3:.1f} kB"


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--rounds", type=int, default=30)
    ask.add_argument("--no-browser", action="store_true")
    ask.add_argument("--no-large", action="store_true")
    asked = ask.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        jobs = Path(folder, "jobs")
        jobs.mkdir()
        like(str(jobs / "trailer"), "trailer")
        print(bundle())
        measured: list[tuple[str, str, int]] = [("trailer", "the trailer", asked.rounds)]
        if not asked.no_large:
            like(str(Path(folder, "x")), "trailer")
            from_text(str(jobs / "large"), large(Path(folder, "x", "rig.yaml").read_text(encoding="utf-8")), "large")  # fmt: skip
            measured.append(("large", "about 300 parts", max(6, asked.rounds // 3)))
        with bench(str(jobs)) as one:
            print(f"start to first page: {one.first_page_s:.2f} s wall, {one.first_page_cpu_s:.2f} s processor; {load()}")  # fmt: skip
            time.sleep(3)
            for job, name, rounds in measured:
                print(f"{name}:")
                in_turn(one, job, str(jobs / job), rounds, max(1, rounds // 5))
                if not asked.no_browser:
                    in_browser(one, job, rounds)
            if not asked.no_browser:
                swap(one, "trailer", max(5, asked.rounds // 5))


if __name__ == "__main__":
    main()
