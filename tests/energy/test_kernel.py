"""The compiled kernel against the plain loop, and against itself in any batch."""

import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import ohmwright
from ohmwright.energy.batch import years_of_rig
from ohmwright.energy.kernel import DAILY, Kernel, source_hash
from ohmwright.energy.loop import Hours, by_rig, run, start_hour
from ohmwright.energy.plan import Bank, EnergyPlan
from ohmwright.energy.series import hours_of
from ohmwright.energy.sizes import grown_bank
from ohmwright.sky.types import WeatherYear


@pytest.fixture(scope="module")
def hours(plan: EnergyPlan, north: WeatherYear) -> Hours:
    return hours_of(plan, lambda _: north)


@pytest.fixture(scope="module")
def first_day(north: WeatherYear) -> int:
    return start_hour(north.ghi_W_m2) // 24


def skies_of(hours: Hours, count: int) -> np.ndarray:
    """Years that differ: the same weather, each with its own share of the array."""
    return np.stack(
        [sky_of(hours) * np.array([[0.4 + 0.02 * k], [1.0], [1.0], [1.0], [1.0]]) for k in range(count)]
    )


def sky_of(hours: Hours) -> np.ndarray:
    """What the weather of a plain year does, in the order of BY_YEAR; the hours' own loads hold the heat already."""
    return np.array([[row[0], row[7], row[8], row[9], 0.0] for row in hours.rows]).T


@pytest.mark.parametrize("which", ["plan", "with_generator", "lead"])
def test_a_lane_is_the_plain_loop_to_the_last_bit(
    which: str,
    plan: EnergyPlan,
    with_generator: EnergyPlan,
    lead: Bank,
    north: WeatherYear,
    kernel: Kernel,
    first_day: int,
) -> None:
    each = {"plan": plan, "with_generator": with_generator, "lead": replace(plan, bank=lead)}[which]
    hours = hours_of(each, lambda _: north)
    loop = run(hours, by_rig(each), 24 * first_day)
    base = sky_of(hours)[None]
    daily = years_of_rig(kernel, np.array(hours.rows), by_rig(each), base, [1.0], first_day)[0]
    for k, name in enumerate(DAILY[:5]):
        expected = [_sum(loop.columns[name][24 * d : 24 * d + 24]) for d in range(365)]
        assert daily[:, k].tolist() == expected, name
    assert daily[:, 5].sum() == sum(1.0 for h in loop.columns["running_h"] if h > 0.0)
    assert daily[:, -1].min() == pytest.approx(min(loop.soc), abs=1e-12)


def _sum(values: tuple[float, ...]) -> float:
    out = 0.0
    for v in values:
        out += v
    return out


def test_a_batch_of_any_size_gives_the_same_bits(
    plan: EnergyPlan, hours: Hours, kernel: Kernel, first_day: int
) -> None:
    skies, loads = skies_of(hours, 63), [1.0 + 0.01 * k for k in range(63)]
    rows, rig = np.array(hours.rows), by_rig(plan)
    whole = years_of_rig(kernel, rows, rig, skies, loads, first_day)
    for size in range(1, 64):
        some = years_of_rig(kernel, rows, rig, skies[:size], loads[:size], first_day)
        assert np.array_equal(some, whole[:size]), size


def test_two_threads_give_the_same_bits_as_one(
    plan: EnergyPlan, hours: Hours, kernel: Kernel, first_day: int
) -> None:
    skies = skies_of(hours, 70)
    one = years_of_rig(kernel, np.array(hours.rows), by_rig(plan), skies, [1.0] * 70, first_day)
    two = years_of_rig(kernel, np.array(hours.rows), by_rig(plan), skies, [1.0] * 70, first_day, workers=2)
    assert np.array_equal(one, two)
    alone = years_of_rig(kernel, np.array(hours.rows), by_rig(plan), skies[41:42], [1.0], first_day)
    assert np.array_equal(alone[0], one[41])


def test_single_precision_screens_within_a_thousandth(
    plan: EnergyPlan, hours: Hours, kernel: Kernel, first_day: int
) -> None:
    rows, skies, loads = np.array(hours.rows), skies_of(hours, 32), [1.0] * 32
    fine = years_of_rig(kernel, rows, by_rig(plan), skies, loads, first_day)
    coarse = years_of_rig(kernel, rows, by_rig(plan), skies, loads, first_day, dtype=np.float32)
    unserved, load, least = (DAILY.index(n) for n in ("unserved_Wh", "load_Wh", "soc_min"))
    off = np.abs(fine[:, :, unserved].sum(axis=1) - coarse[:, :, unserved].sum(axis=1))
    assert np.max(off) < 1e-3 * fine[:, :, load].sum(axis=1).max()
    assert np.max(np.abs(fine[:, :, least] - coarse[:, :, least])) < 1e-3


def test_more_array_more_bank_or_less_load_is_never_worse(
    plan: EnergyPlan, hours: Hours, kernel: Kernel, first_day: int
) -> None:
    # Without a generator more never hurts; with one it may, by when it starts.
    rng = np.random.default_rng(7)
    pairs = rng.uniform((0.3, 0.5, 0.5), (2.0, 1.5, 3.0), size=(320, 3))
    # A block of years of one bank, each with its own array and load; then ten such blocks, each with its own bank.
    rows, sky = np.array(hours.rows), sky_of(hours)
    unserved, asked = DAILY.index("unserved_Wh"), DAILY.index("load_Wh")

    def worked(array: np.ndarray, load: np.ndarray, bank: float) -> tuple[np.ndarray, np.ndarray]:
        grown = grown_bank(plan.bank, bank)
        by_bank = np.array([1.0, 1.0 / bank, bank, bank, 1.0])
        skies = np.stack([sky * (by_bank * [a, 1.0, 1.0, 1.0, 1.0])[:, None] for a in array])
        daily = years_of_rig(kernel, rows, by_rig(replace(plan, bank=grown)), skies, load.tolist(), first_day)
        return daily[:, :, unserved].sum(axis=1), daily[:, :, asked].sum(axis=1)

    for k in range(10):
        array, load = pairs[32 * k : 32 * k + 32, :2].T
        bank = float(pairs[32 * k, 2])
        base, load_Wh = worked(array, load, bank)
        slack = 1e-6 * load_Wh
        assert np.all(worked(array * 1.2, load, bank)[0] <= base + slack)
        assert np.all(worked(array, load * 0.9, bank)[0] <= base + slack)
        # A bigger bank also leaks more: never worse by more than its own self-discharge.
        assert np.all(worked(array, load, bank * 1.3)[0] <= base + 0.3 * bank * 800 * 13.3 * 0.03 * 12)


def test_a_hash_names_the_sources() -> None:
    assert len(source_hash()) == 16
    assert source_hash() == source_hash()


@pytest.mark.slow
def test_an_edited_leaf_changes_the_answer_of_a_kept_kernel(tmp_path: Path) -> None:
    # The compiler's cache does not see a change in a function that is called: the folder's name must.
    copy = tmp_path / "src" / "ohmwright"
    shutil.copytree(Path(ohmwright.__file__).parent, copy, ignore=shutil.ignore_patterns("__pycache__"))
    script = tmp_path / "ask.py"
    script.write_text(
        "import numpy as np\n"
        "from ohmwright.energy.kernel import BY_RIG, DAYS, KEPT, LANES, prepare\n"
        "from ohmwright.energy.curves import rest_numbers\n"
        "rig = dict.fromkeys(BY_RIG, 0.0)\n"
        "rig.update(zip(BY_RIG[10:24], rest_numbers('lfp', 4)))\n"
        "rig.update(capacity_Ah=100.0, full_at_hand_Ah=100.0, set_V=14.2, kept_ratio=1.0, refill_ratio=1.0, draw_h=1.0, charger_ratio=0.9, edge_ratio=0.999, brim_Ah=101.0, gas_knee_A=1.0, per_Ah=0.01, half_per_Ah=0.005)\n"
        "rows = np.zeros((8760, 10)); rows[:, 1] = 1.0\n"
        "out = np.empty(DAYS * KEPT * LANES)\n"
        f"kernel = prepare({str(tmp_path / 'kept')!r})\n"
        "sky = np.zeros((8760, 5, LANES)); sky[:, 1] = 0.005; sky[:, 2] = sky[:, 3] = 50.0\n"
        "kernel.years(rows.ravel(), np.zeros(3 * 8760), sky.ravel(), np.ones(DAYS * LANES), np.repeat(np.array([rig[n] for n in BY_RIG]), LANES), 0, out, np.empty(0))\n"
        "print(repr(out.reshape(DAYS, KEPT, LANES)[:, 0, 0].sum()))\n"
    )

    def ask() -> str:
        done = subprocess.run(
            [sys.executable, str(script)],
            env={"PYTHONPATH": str(tmp_path / "src"), "PATH": ""},
            capture_output=True,
            text=True,
            check=True,
        )
        return done.stdout.strip()

    before = ask()
    assert ask() == before
    leaf = copy / "physics" / "bank.py"
    text = leaf.read_text()
    assert "+ slope_V * soc_ratio" in text
    leaf.write_text(text.replace("+ slope_V * soc_ratio", "+ 0.9 * slope_V * soc_ratio"))
    after = ask()
    assert after != before
    assert len(list((tmp_path / "kept").iterdir())) == 2
