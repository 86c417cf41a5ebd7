# ruff: noqa: T201 - it prints its table
"""How fast an energy year is: plain loop, compiled lanes in double and single precision, and the same in C.

    python timings/energy.py [PLOT.svg]

With a file it also draws how time grows with years and candidates.

Everything runs in one process on one core, interleaved, and is told in processor time, best of several.  The C version is
translated from the Python source of the hour, so it is the same arithmetic; it needs a C compiler on the path.
"""

import ast
import ctypes
import inspect
import math
import shutil
import subprocess
import sys
import tempfile
import textwrap
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import FunctionType
from typing import Any

import numpy as np

from ohmwright.energy.abreast import SameYears, plans_abreast
from ohmwright.energy.chance import many_years
from ohmwright.energy.curves import HALF_GAP_V, rest_numbers
from ohmwright.energy.kernel import _LEAVES, DAYS, KEPT, LANES, STEPS, Kernel, prepare
from ohmwright.energy.loop import by_rig, run, start_hour
from ohmwright.energy.plan import Array, Bank, Day, EnergyPlan, Inverter, Plane, StayPlan, Tracker
from ohmwright.energy.series import hours_of
from ohmwright.energy.spread import Spread
from ohmwright.energy.step import ANSWERS, BY_HOUR, BY_RIG
from ohmwright.services import year as services
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot
from ohmwright.sky.weather import normal_year

ROUNDS = 7
MANY = 1024
HOURS = 8760


def plan() -> EnergyPlan:
    """An invented trailer: 1,230 W flat, 800 Ah at 12.8 V, 4 kWh a day."""
    nothing = (0.0,) * 24
    day = Day((65.0,) * 24, (80.0,) * 24, (20.0,) * 24, nothing, nothing, nothing)
    bank = Bank(
        "lfp",
        800.0,
        12.8,
        0.1,
        0.000625,
        400.0,
        400.0,
        14.2,
        rest_numbers("lfp", 4),
        regime="heated",
        half_gap_V=4 * HALF_GAP_V["lfp"],
    )
    array = Array("M", 1230.0, -0.35, (Plane(0.0, None),), 93.0, kept={"all": 0.9})
    stay = StayPlan("all year", "occupied", 0, 364, dict.fromkeys(range(12), day), indoors_degC=18.0)
    return EnergyPlan(
        (Tracker("U1", (array,), 85.0, 1.0, 0.012, 1.2e-5),),
        bank,
        (stay,),
        Inverter(20.0, 0.05, 1e-5, 2400.0),
    )


def best(work: Callable[[], object], rounds: int = ROUNDS, repeat: int = 1) -> float:
    """Least processor seconds of one call."""
    out = math.inf
    for _ in range(rounds):
        begun = time.process_time()
        for _ in range(repeat):
            work()
        out = min(out, (time.process_time() - begun) / repeat)
    return out


class _ToC(ast.NodeVisitor):
    """The few forms that a leaf may hold, in C."""

    def visit_BinOp(self, node: ast.BinOp) -> str:
        sign = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}[type(node.op)]
        return f"({self.visit(node.left)} {sign} {self.visit(node.right)})"

    def visit_UnaryOp(self, node: ast.UnaryOp) -> str:
        return f"(-{self.visit(node.operand)})"

    def visit_IfExp(self, node: ast.IfExp) -> str:
        return f"({self.visit(node.test)} ? {self.visit(node.body)} : {self.visit(node.orelse)})"

    def visit_Compare(self, node: ast.Compare) -> str:
        sign = {ast.Lt: "<", ast.Gt: ">"}[type(node.ops[0])]
        return f"({self.visit(node.left)} {sign} {self.visit(node.comparators[0])})"

    def visit_Call(self, node: ast.Call) -> str:
        name = node.func.attr.upper() if isinstance(node.func, ast.Attribute) else self.visit(node.func)
        return f"{name}({', '.join(self.visit(a) for a in node.args)})"

    def visit_Name(self, node: ast.Name) -> str:
        return node.id

    def visit_Constant(self, node: ast.Constant) -> str:
        return f"(real){node.value!r}"

    def generic_visit(self, node: ast.AST) -> Any:
        raise TypeError(f"no C for {ast.dump(node)}")


def to_c(function: Callable[..., object]) -> str:
    """A leaf as a C function; `hour` gives its tuple through pointers."""
    assert isinstance(function, FunctionType)
    tree = ast.parse(textwrap.dedent(inspect.getsource(function))).body[0]
    assert isinstance(tree, ast.FunctionDef)
    c, seen = _ToC(), set()
    body = []
    many = False
    for line in tree.body:
        if isinstance(line, ast.Assign) and isinstance(line.targets[0], ast.Name):
            name = line.targets[0].id
            body.append(f"{'' if name in seen else 'real '}{name} = {c.visit(line.value)};")
            seen.add(name)
        elif isinstance(line, ast.Return) and isinstance(line.value, ast.Tuple):
            many = True
            body += [f"*out{k} = {c.visit(e)};" for k, e in enumerate(line.value.elts)]
        elif isinstance(line, ast.Return) and line.value is not None:
            body.append(f"return {c.visit(line.value)};")
    arguments = [f"real {a.arg}" for a in tree.args.args] + [
        f"real *out{k}" for k in range(len(ANSWERS) if many else 0)
    ]
    kind = "void" if many else "real"
    return (
        f"static inline __attribute__((always_inline)) {kind} {tree.name}({', '.join(arguments)}) {{\n  "
        + "\n  ".join(body)
        + "\n}\n"
    )


def c_source() -> str:
    """The years' block of the kernel in C, by the hour."""
    leaves = "".join(to_c(f) for f in _LEAVES)
    rig = ", ".join(f"rig[{i} * LANES + l]" for i in range(len(BY_RIG)))
    return f"""
#include <math.h>
#define SQRT SQRT_
{leaves}
void years(const real *restrict rows, const real *restrict ladder, const real *restrict skies, const real *restrict loads, const real *restrict rig, long first, real *restrict out) {{
  real hand[LANES], total[LANES], running[LANES], waiting[LANES], down[LANES], sums[KEPT * LANES];
  const real zero = 0;
  for (int l = 0; l < LANES; l++) {{ total[l] = rig[l]; hand[l] = rig[LANES + l]; running[l] = zero; waiting[l] = zero; down[l] = zero; }}
  for (long step = 0; step < 365; step++) {{
    long day = (first + step) % 365;
    for (int k = 0; k < KEPT - 1; k++) for (int l = 0; l < LANES; l++) sums[k * LANES + l] = zero;
    for (int l = 0; l < LANES; l++) sums[(KEPT - 1) * LANES + l] = total[l];
    for (long t = 24 * day; t < 24 * day + 24; t++) {{
      const real *row = rows + t * {len(BY_HOUR)};
      const real *sky = skies + 5 * t * LANES, *use = loads + day * LANES, *rung = ladder + t * {STEPS};
      #pragma GCC ivdep
      for (int l = 0; l < LANES; l++) {{
        real a, b, c, d, e, array_Wh, bus_Wh, source_Wh, load_Wh, unserved_Wh, x, y, stored_Wh;
        hour(hand[l], total[l], running[l], waiting[l], down[l], sky[l], row[1] * use[l] + sky[4 * LANES + l], row[2] * use[l], row[3], row[4], row[5], row[6],
          sky[LANES + l], sky[2 * LANES + l], sky[3 * LANES + l], {rig},
          &a, &b, &c, &d, &e, &array_Wh, &bus_Wh, &source_Wh, &load_Wh, &unserved_Wh, &x, &y, &stored_Wh);
        hand[l] = a; total[l] = b; waiting[l] = d; down[l] = e;
        sums[l] += unserved_Wh; sums[LANES + l] += array_Wh; sums[2 * LANES + l] += bus_Wh; sums[3 * LANES + l] += source_Wh;
        sums[4 * LANES + l] += load_Wh; sums[5 * LANES + l] += c > running[l] ? c - running[l] : zero; running[l] = c; sums[6 * LANES + l] += stored_Wh > zero ? stored_Wh : zero;
        sums[7 * LANES + l] += x + y; sums[8 * LANES + l] += stored_Wh;
        for (int k = 0; k < {STEPS}; k++) {{ real beyond = unserved_Wh - rung[k] * use[l]; sums[(9 + k) * LANES + l] += beyond > zero ? beyond : zero; }}
        const int least = KEPT - 1; sums[least * LANES + l] = b < sums[least * LANES + l] ? b : sums[least * LANES + l];
      }}
    }}
    for (int l = 0; l < LANES; l++) sums[(KEPT - 1) * LANES + l] /= rig[l];
    for (int k = 0; k < KEPT; k++) for (int l = 0; l < LANES; l++) out[(day * KEPT + k) * LANES + l] = sums[k * LANES + l];
  }}
}}
"""


def compiled_c(folder: Path, compiler: str, real: str, fast: bool) -> Callable[..., None]:
    """The C block for one precision."""
    source = folder / "hour.c"
    source.write_text(c_source())
    library = folder / f"hour_{real}_{fast}.so"
    flags = [
        "-O3",
        "-march=native",
        "-shared",
        "-fPIC",
        "-fno-math-errno",
        "-ffast-math" if fast else "-ffp-contract=off",
    ]
    root = "sqrt" if real == "double" else "sqrtf"
    subprocess.run(
        [
            compiler,
            *flags,
            f"-Dreal={real}",
            f"-DSQRT_={root}",
            f"-DLANES={LANES}",
            f"-DKEPT={KEPT}",
            str(source),
            "-o",
            str(library),
            "-lm",
        ],
        check=True,
    )
    block = ctypes.CDLL(str(library)).years

    def call(rows: Any, ladder: Any, skies: Any, loads: Any, rig: Any, first: int, out: Any, _: Any) -> None:
        pointers = [a.ctypes.data_as(ctypes.c_void_p) for a in (rows, ladder, skies, loads, rig)]
        block(*pointers, ctypes.c_long(first), out.ctypes.data_as(ctypes.c_void_p))

    return call


def main() -> None:
    """Print the table."""
    sky = normal_year(spot_at(46.78, -92.11, 200.0, "Duluth MN"))
    rig_plan = plan()
    begun = time.process_time()
    hours = hours_of(rig_plan, lambda _: sky)
    print(f"weather to hours, plain: {1e3 * (time.process_time() - begun):.0f} ms a year and array")
    rig, start = by_rig(rig_plan), start_hour(sky.ghi_W_m2)
    loop_s = best(lambda: run(hours, rig, start))
    print(
        f"plain Python loop: {1e3 * loop_s:.1f} ms a year = {HOURS / loop_s / 1e6:.2f} million hours a second"
    )
    kernel = prepare()
    compiler = shutil.which("cc") or shutil.which("gcc")
    truth = np.array(run(hours, rig, start).columns["unserved_Wh"]).reshape(DAYS, 24).sum(axis=1)
    with tempfile.TemporaryDirectory() as folder:
        for dtype in (np.float64, np.float32):
            table = np.array(hours.rows, dtype)
            own = np.repeat(np.array(rig, dtype), LANES)
            sky_rows = np.stack(
                [table[:, 0], table[:, 7], table[:, 8], table[:, 9], np.zeros(HOURS, dtype)], axis=1
            )
            arguments = (
                table.ravel(), np.zeros(STEPS * HOURS, dtype), np.repeat(sky_rows.ravel(), LANES),
                np.ones(DAYS * LANES, dtype), own, start // 24, np.empty(DAYS * KEPT * LANES, dtype), np.empty(0, dtype),
            )  # fmt: skip
            out = arguments[6]
            versions: dict[str, Callable[..., None]] = {"compiled lanes": kernel.years}
            if compiler:
                real = "double" if dtype is np.float64 else "float"
                versions["C, same rounding"] = compiled_c(Path(folder), compiler, real, False)
                versions["C, fast-math"] = compiled_c(Path(folder), compiler, real, True)
            seconds = dict.fromkeys(versions, math.inf)
            for block in versions.values():
                block(*arguments)
            for _ in range(ROUNDS):
                for name, block in versions.items():
                    seconds[name] = min(seconds[name], best(partial(block, *arguments), 1, 10))
            for name, block in versions.items():
                block(*arguments)
                off = np.abs(out.reshape(DAYS, KEPT, LANES)[:, 0, 0] - truth).max()
                s = seconds[name]
                print(
                    f"{np.dtype(dtype).name} {name}: {1e3 * s:.2f} ms a block of {LANES} = {HOURS * LANES / s / 1e6:.0f} million hours a second, "
                    f"{LANES / s:,.0f} years a second, {loop_s * LANES / s:,.0f} times the plain loop, "
                    f"{seconds[name] / seconds['compiled lanes']:.2f} of the compiled lanes' time; furthest day from the loop {off:.2g} Wh"
                )
            both_s = on_two_threads(kernel, arguments)
            print(
                f"{np.dtype(dtype).name} compiled lanes on two threads, wall: {1e3 * both_s:.2f} ms a block, {loop_s * LANES / both_s:,.0f} times the plain loop"
            )
    spots = [sky.spot]
    for spread in (None, Spread()):
        many_years(kernel, rig_plan, spots, LANES, 1, spread=spread, workers=1)
        begun = time.process_time()
        many_years(kernel, rig_plan, spots, MANY, 1, spread=spread, workers=1)
        spent = time.process_time() - begun
        loads = "loads as written" if spread is None else "loads scattered"
        print(
            f"{MANY} made years, {loads}, weather, array, bank: {spent:.2f} s = {1e3 * spent / MANY:.2f} ms a year"
        )
    begun, wall = time.process_time(), time.perf_counter()
    many_years(kernel, rig_plan, spots, MANY, 1, spread=Spread(), workers=2)
    print(
        f"the same on two threads: {time.perf_counter() - wall:.2f} s on the wall, {time.process_time() - begun:.2f} s of processor"
    )
    grown = growth(kernel, rig_plan, spots)
    if len(sys.argv) > 1:
        Path(sys.argv[1]).write_text(growth_svg(grown), encoding="utf-8")
    whole_command()
    if compiler is None:
        print("no C compiler on the path: C not timed")


def on_two_threads(kernel: Kernel, arguments: tuple[Any, ...]) -> float:
    """Wall seconds a block while two threads run blocks of their own, best of several."""
    each = [(*arguments[:1], arguments[1].copy(), *arguments[2:6], arguments[6].copy(), arguments[7]) for _ in range(2)]  # fmt: skip
    wall_s = math.inf
    with ThreadPoolExecutor(2) as threads:
        for _ in range(ROUNDS):
            began = time.perf_counter()
            list(threads.map(lambda own: [kernel.years(*own) for _ in range(20)], each))
            wall_s = min(wall_s, time.perf_counter() - began)
    return wall_s / 40


def growth(kernel: Kernel, rig_plan: EnergyPlan, spots: list[Spot]) -> dict[str, list[tuple[int, float]]]:
    """Processor seconds against years, and against candidates through 64 of them."""
    out: dict[str, list[tuple[int, float]]] = {"made years": [], "candidates through 64 years": []}
    for years in (64, 128, 256, 512, 1024):
        s = best(partial(many_years, kernel, rig_plan, spots, years, 1, spread=Spread(), workers=1), 5)
        out["made years"].append((years, s))
        print(f"{years:5} years: {s:.2f} s, {1e3 * s / years:.2f} ms a year")
    base = many_years(kernel, rig_plan, spots, 64, 1, spread=Spread(), workers=1)
    for count in (4, 8, 16, 32, 64):
        tracker = rig_plan.trackers[0]
        plans = [
            replace(
                rig_plan,
                trackers=(replace(tracker, arrays=(replace(tracker.arrays[0], rated_W=900.0 + 20.0 * k),)),),
            )
            for k in range(count)
        ]
        s = best(lambda: plans_abreast(SameYears(kernel, base, spots, workers=1), plans, 64), 5)  # noqa: B023 - called at once
        out["candidates through 64 years"].append((count, s))
        print(f"{count:5} candidates: {s:.2f} s, {1e3 * s / count / 64:.2f} ms a candidate and year")
    return out


def growth_svg(told: dict[str, list[tuple[int, float]]]) -> str:
    """What was measured as dots, and the straight line from nothing through the last of them."""
    wide, high, left, foot = 300.0, 210.0, 48.0, 40.0
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {2 * wide:.0f} {high:.0f}" font-family="sans-serif" font-size="11" stroke="none">',
        f'<rect width="{2 * wide:.0f}" height="{high:.0f}" fill="white"/>',
    ]
    for k, (name, rows) in enumerate(told.items()):
        most, longest = rows[-1]
        top = 1.1 * max(s for _, s in rows)
        x0, y0 = k * wide + left, high - foot
        x1, y1 = (k + 1) * wide - 24.0, 14.0

        def at(count: float, s: float) -> tuple[float, float]:
            return x0 + (x1 - x0) * count / most, y0 - (y0 - y1) * s / top  # noqa: B023 - called at once

        out.append(f'<path d="M{x0} {y1}V{y0}H{x1}" fill="none" stroke="black"/>')
        line = at(most, longest)
        out.append(
            f'<path d="M{x0} {y0}L{line[0]:.1f} {line[1]:.1f}" stroke="black" stroke-dasharray="4 3"/>'
        )
        for count, s in rows:
            x, y = at(count, s)
            out.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3"/>')
            if 8 * count >= most:
                out.append(f'<text x="{x:.1f}" y="{y0 + 15:.0f}" text-anchor="middle">{count}</text>')
        step = next(s for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, math.inf) if longest <= 5.0 * s)
        out += [
            f'<text x="{x0 - 6:.0f}" y="{at(0, k * step)[1] + 4:.1f}" text-anchor="end">{k * step:.1f}</text>'
            for k in range(int(longest / step) + 1)
        ]
        out.append(f'<text x="{(x0 + x1) / 2:.0f}" y="{high - 8:.0f}" text-anchor="middle">{name}</text>')
        out.append(
            f'<text transform="translate({x0 - 34:.0f} {(y0 + y1) / 2:.0f}) rotate(-90)" text-anchor="middle">processor time, s</text>'
        )
    return "\n".join([*out, "</svg>", ""])


def whole_command() -> None:
    """All of `ohmwright year` on the demo trailer: the made years and what would buy nights back, once again in the same process."""
    demo = str(Path(services.__file__).parent / "demos" / "trailer" / "rig.yaml")
    for name in ("first", "again"):
        begun = time.process_time()
        done = services.year(demo)
        print(
            f"the whole year of the demo trailer, {name}: {time.process_time() - begun:.2f} s of processor for "
            f"{done.year.years} years, {len(done.year.bought)} changes and the bank's age"
        )


if __name__ == "__main__":
    main()
