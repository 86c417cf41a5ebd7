# ruff: noqa: T201 - it prints its table
"""How fast a circuit is drawn: again after an edit against from nothing, and the search for a way against a plain one.

    python timings/drawing.py

An edit changes one figure; the rig is read before the clock starts.  From nothing twice: with the search in plain Python as a
command draws, and with the compiled one of a process that stays warm.  The four demo rigs, and one of about 300 parts in
15 systems.  The plain search is Dijkstra's over the same prices with a heap from the standard library, one wire of each
sort on a field as crowded as a sheet; both must find ways of the same cost.  Processor time, median of several rounds in
turn.
"""

import gc
import heapq
import random
import statistics
import time
from collections.abc import Callable, Iterable, Mapping
from importlib import resources
from itertools import pairwise

from ohmwright.drawing import compiled
from ohmwright.drawing.field import Field
from ohmwright.drawing.further import further_sheets, names_for
from ohmwright.drawing.one_line import Circuit, draw_circuit
from ohmwright.drawing.search import LETTER, TURN, Terrain, cheapest
from ohmwright.drawing.shapes import GRID
from ohmwright.rig.expand import graph_of
from ohmwright.rig.read import read_rig
from ohmwright.services import demos
from ohmwright.shelf.load import Shelf

ROUNDS = 7
EDITS = {
    "trailer": ("power: 60 W, duty", "power: 65 W, duty"),
    "boat": ("length: 6.2 m", "length: 6.3 m"),
    "cabin": ("length: 12 m", "length: 11 m"),
    "van": ("length: 4 m", "length: 3 m"),
}


def demo(name: str, edit: tuple[str, str] | None = None) -> Circuit:
    """A demo rig, with one figure changed everywhere it stands."""
    folder = resources.files(demos) / name
    shelf = folder / "shelf"
    sheets = [f for f in shelf.iterdir() if f.name.endswith(".yaml")] if shelf.is_dir() else []
    text = (folder / "rig.yaml").read_text(encoding="utf-8")
    job = {f.name: f.read_text(encoding="utf-8") for f in sheets}
    rig = read_rig(text.replace(*edit) if edit else text, "rig.yaml", Shelf(job=job))
    return Circuit(rig, graph_of(rig))


def large(systems: int, lamp: str = "20 W") -> Circuit:
    """Systems in a row, each with its bars, two arrays and two panels of four lamps."""
    parts = [
        "B: {is: battery-lfp-200ah-12v, count: 4, at: bay, each: {F: fuse-terminal-post-150a}, join: {as: chain, link: 4/0 AWG, link-length: 0.3 m, takeoff: diagonal}}",
        "F1: {is: fuse-class-t-400a, at: bay}",
        "Q1: {is: battery-switch-500a, at: bay}",
        "R1: {is: shunt-500a-50mv, at: bay}",
    ]
    loads: list[str] = []
    runs: list[str] = []

    def run(start: str, stop: str, cable: str, length: float) -> None:
        runs.append(f"W{len(runs) + 1}: {{from: {start}, to: {stop}, cable: {cable}, length: {length} m}}")

    run("B.+", "F1.line", "4/0 AWG red", 0.2)
    run("F1.load", "Q1.line", "4/0 AWG red", 0.2)
    run("Q1.load", "XP1.1", "4/0 AWG red", 0.3)
    run("B.-", "R1.bank", "4/0 AWG black", 0.4)
    run("R1.loads", "XN1.1", "4/0 AWG black", 0.3)
    for i in range(1, systems + 1):
        parts += [f"X{p}{i}: {{is: busbar-600a-8stud, at: bay}}" for p in "PN"]
        if i > 1:
            parts.append(f"FT{i}: {{is: fuse-class-t-300a, at: bay}}")
            run(f"XP{i - 1}.8", f"FT{i}.line", "4/0 AWG red", 0.4)
            run(f"FT{i}.load", f"XP{i}.1", "4/0 AWG red", 0.5)
            run(f"XN{i - 1}.8", f"XN{i}.1", "4/0 AWG black", 0.9)
        for stud, k in ((2, f"{i}a"), (3, f"{i}b")):
            parts += [
                f"M{k}: {{is: module-410w, array: 2s1p, at: roof}}",
                f"S{k}: {{is: pv-disconnect-25a-150v-2p, at: bay}}",
                f"U{k}: {{is: pv-controller-85a-150v, at: bay}}",
                f"F{k}: {{is: breaker-110a-48v-1p, at: bay}}",
                f"P{k}: {{is: panel-dc-12way, at: galley, ways: {{1: 15 A, 2: 10 A, 3: 10 A, 4: 5 A}}}}",
                f"G{k}: {{is: breaker-60a-48v-1p, at: bay}}",
            ]
            run(f"M{k}", f"S{k}.line", "pv 10 AWG", 6)
            run(f"S{k}.load", f"U{k}.pv", "pv 10 AWG", 0.5)
            run(f"U{k}.bat.+", f"F{k}.line", "2 AWG red", 0.5)
            run(f"F{k}.load", f"XP{i}.{stud}", "2 AWG red", 0.3)
            run(f"U{k}.bat.-", f"XN{i}.{stud}", "2 AWG black", 0.6)
            run(f"XP{i}.{stud + 2}", f"G{k}.line", "6 AWG red", 0.2)
            run(f"G{k}.load", f"P{k}.feed.+", "6 AWG red", 3)
            run(f"P{k}.feed.-", f"XN{i}.{stud + 2}", "6 AWG black", 3)
            for w in range(1, 5):
                power = lamp if (i, w) == (1, 2) else f"{10 * w} W"
                loads.append(
                    f"lamp-{k}{w}: {{fed: P{k}.{w}, power: {power}, cable: 2 x 14 AWG, length: {w + 1} m}}"
                )
    text = "\n".join(
        [
            "ohmwright: 1",
            "job: {id: large, units: metric, currency: EUR, rules: eu-vehicle 2023}",
            "host: {kind: cabin, places: {bay: {regime: sheltered}, roof: {regime: outside}, galley: {regime: cabin}}, ways: {}}",
            "metal: {ground: {}}",
            "parts:",
            *(f"  {p}" for p in parts),
            "use:",
            "  loads:",
            *(f"    {x}" for x in loads),
            "runs:",
            *(f"  {r}" for r in runs),
            "",
        ]
    )
    rig = read_rig(text, "rig.yaml", Shelf())
    return Circuit(rig, graph_of(rig))


def plain(
    terrain: Terrain, starts: Iterable[tuple[int, str]], goals: Mapping[int, str], limit: int
) -> int | None:
    """What the cheapest way costs, by Dijkstra's search."""
    step = (1, terrain.stride, -1, -terrain.stride)
    best = {(n, LETTER[x]): 0 for n, letters in starts for x in letters}
    first = set(best)
    heap = [(0, n, d) for n, d in best]
    heapq.heapify(heap)
    while heap:
        cost, n, d = heapq.heappop(heap)
        if best[(n, d)] < cost:
            continue
        if (n, d) not in first and d in {LETTER[x] for x in goals.get(n, "")}:
            return cost
        over = (terrain.on_upright if d in (0, 2) else terrain.on_level)[n]
        for nd in (d,) if (n, d) in first or over else (d, (d + 1) % 4, (d + 3) % 4):
            m = n + step[nd]
            goal = nd in {LETTER[x] for x in goals.get(m, "")}
            price = 1 if goal else (terrain.level if nd in (0, 2) else terrain.upright)[m]
            total = cost + price + (TURN if nd != d else 0)
            if price and total <= limit and total < best.get((m, nd), 1 << 30):
                best[(m, nd)] = total
                heapq.heappush(heap, (total, m, nd))
    return None


def crowded() -> tuple[Field, list[tuple[int, int]]]:
    """A field of A2 with symbols and wires by chance, and ends to be joined."""
    chance = random.Random(5)
    field = Field(0.0, 0.0, 187, 157)
    for _ in range(120):
        x, y = chance.randrange(170) * GRID, chance.randrange(140) * GRID
        field.block((x, y, x + chance.randrange(2, 12) * GRID, y + chance.randrange(1, 6) * GRID))
    for _ in range(30):
        x, y = chance.randrange(150), chance.randrange(150)
        field.wire(x * GRID, y * GRID, (x + chance.randrange(4, 30)) * GRID, y * GRID)
    free = [n for n in range(187 * 157) if not (field.blocked[n] or field.across[n] or field.along[n])]
    return field, [(chance.choice(free), chance.choice(free)) for _ in range(12)]


def turns(*ways: Callable[[], object]) -> list[float]:
    """Milliseconds of each way, medians over rounds taken in turn."""
    told: list[list[float]] = [[] for _ in ways]
    for way in ways:
        way()
    for _ in range(ROUNDS):
        for way, times in zip(ways, told, strict=True):
            began = time.process_time()
            way()
            times.append((time.process_time() - began) * 1e3)
    for times in told:
        times.sort()
    return [statistics.median(t) for t in told]


def fastest(way: Callable[[], object]) -> float:
    """Milliseconds of the fastest round: what else the machine does only adds."""
    way()
    times = []
    for _ in range(ROUNDS):
        began = time.process_time()
        way()
        times.append((time.process_time() - began) * 1e3)
    return min(times)


def main() -> None:
    """Print the tables."""
    print(
        f"{'circuit':10}{'parts':>6}{'sheets':>7}{'from nothing':>14}{'compiled':>10}{'a sheet':>9}{'again':>8}{'ratio':>7}   milliseconds"
    )
    for name in (*EDITS, "large"):
        before = demo(name) if name in EDITS else large(15)
        after = demo(name, EDITS[name]) if name in EDITS else large(15, "25 W")
        kept = draw_circuit(before).kept
        drawing = draw_circuit(after, kept)
        assert drawing.again, name
        compiled.forget()
        plainly = fastest(lambda a=after: draw_circuit(a))  # type: ignore[misc]
        compiled.prepare()
        gc.collect()
        gc.freeze()  # as a bench does: what the compiler brought is not looked through in the middle of a sheet
        anew, again = turns(lambda a=after: draw_circuit(a), lambda a=after, k=kept: draw_circuit(a, k))  # type: ignore[misc]
        sheets = len(drawing.sheets)
        print(
            f"{name:10}{len(after.rig.parts):6}{sheets:7}{plainly:14.1f}{anew:10.1f}{anew / sheets:9.1f}{again:8.1f}{anew / again:7.1f}"
        )
    compiled.forget()
    print("\nthe other sheets, all of a name from nothing, the fastest of the rounds, milliseconds")
    for name in EDITS:
        circuit = demo(name)
        told = []
        for sheet in names_for(circuit.rig):
            spent = fastest(lambda c=circuit, s=sheet: further_sheets(c.rig, c.graph, s))  # type: ignore[misc]
            told.append(f"{sheet} {spent:.1f}")
        print(f"{name:10}{', '.join(told)}")
    field, ends = crowded()
    terrain = field.terrain()
    costs: dict[str, list[object]] = {"ours": [], "plain": []}

    def cost(path: list[int] | None) -> int | None:
        """What a way costs, reckoned from its points."""
        if path is None:
            return None
        step = {1: 0, terrain.stride: 1, -1: 2, -terrain.stride: 3}
        way = [step[b - a] for a, b in pairwise(path)]
        prices = [
            (terrain.level if d in (0, 2) else terrain.upright)[n]
            for d, n in zip(way[:-1], path[1:-1], strict=True)
        ]
        return sum(prices) + 1 + TURN * sum(a != b for a, b in pairwise(way))

    def ours() -> None:
        costs["ours"] = [cost(cheapest(terrain, [(a, "LRUD")], {b: "LRUD"}, 190)) for a, b in ends if a != b]

    def plainly() -> None:
        costs["plain"] = [plain(terrain, [(a, "LRUD")], {b: "LRUD"}, 190) for a, b in ends if a != b]

    fast, slow = turns(ours, plainly)
    assert costs["ours"] == costs["plain"], costs
    print(
        f"\na way over the sheet: plain {slow / len(ends):.2f} ms, ours {fast / len(ends):.2f} ms, ratio {slow / fast:.1f}, same costs"
    )


if __name__ == "__main__":
    main()
