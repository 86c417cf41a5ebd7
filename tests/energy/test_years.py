"""Many years as a person meets them: the verdict, promises, seeds, what buys nights back, and charts."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from ohmwright.cli.year import year_command
from ohmwright.energy.abreast import SameYears
from ohmwright.energy.asks import Asks
from ohmwright.energy.chance import ManyYears, many_years, quantile, quantile_error
from ohmwright.energy.guests import with_guests
from ohmwright.energy.kernel import DAILY, Kernel
from ohmwright.energy.lead_words import hours_to_fill_h
from ohmwright.energy.loop import HOURS
from ohmwright.energy.plan import Array, Bank, EnergyPlan
from ohmwright.energy.promises import nights_from
from ohmwright.energy.series import hours_of
from ohmwright.energy.spread import Spread
from ohmwright.energy.until import enough_years, is_sure
from ohmwright.energy.verdict import every, spells_of, verdict_of
from ohmwright.energy.weeks import bad_week_of, charge_of_years, weeks_of
from ohmwright.services.opening import open_rig
from ohmwright.services.year import kernel_folder, year_of_opened
from ohmwright.services.year_shade import Snow
from ohmwright.sky.spots import spot_at
from ohmwright.sky.types import Spot, WeatherYear
from ohmwright.sky.weather import bad_weeks

SNOWS: tuple[Snow, ...] = ("lies", "cleared", "none")
DEMOS = Path(kernel_folder.__code__.co_filename).parent / "demos"


@pytest.fixture(scope="module")
def duluth() -> Spot:
    return spot_at(46.8, -92.1, 200.0, "Duluth MN")


@pytest.fixture(scope="module")
def many(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> ManyYears:
    return many_years(kernel, plan, [duluth], 160, 3, spread=Spread())


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_other_seeds_agree_within_the_printed_error(kernel: Kernel, plan: EnergyPlan, duluth: Spot, many: ManyYears, seed: int) -> None:  # fmt: skip
    # Two estimates differ by sqrt(2) standard errors; four of them is one in 16,000 by chance.
    other = many_years(kernel, plan, [duluth], 160, 100 + seed, spread=Spread())
    a, b = many.nights_lost(), other.nights_lost()
    error = np.hypot(quantile_error(a, 0.9), quantile_error(b, 0.9))
    assert abs(quantile(a, 0.9) - quantile(b, 0.9)) <= 4 * error + 1
    assert abs(a.mean() - b.mean()) <= 4 * np.hypot(a.std(), b.std()) / np.sqrt(160)


def test_years_go_on_until_the_error_is_small_and_stop_at_the_same_number(kernel: Kernel, plan: EnergyPlan, duluth: Spot) -> None:  # fmt: skip
    easy = replace(plan, bank=replace(plan.bank, capacity_Ah=20_000.0), stays=(replace(plan.stays[0], days=dict.fromkeys(range(12), replace(plan.stays[0].days[0], dc_W=(20.0,) * 24, ac_W=(0.0,) * 24, idle_W=(0.0,) * 24))),))  # fmt: skip
    sure = enough_years(kernel, easy, [duluth], 3)
    assert len(sure.daily) == 512
    assert is_sure(sure)
    assert verdict_of(sure) == ("In none of 512 made years does a night go without power.",)


def test_the_kernel_lasts_as_many_nights_as_the_plain_loop(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    starts = (10, 100, 180, 270, 330)
    asks = Asks({"away": (starts, 8)})
    got = many_years(kernel, plan, [duluth], 3, 3, asks=asks, workers=1)
    assert got.lasting["away"].shape == (3, 5)
    one = _as_one_year(kernel, got, [duluth], 1)
    assert got.lasting["away"][1].tolist() == [nights_from(one, d, 8) for d in starts]


def _as_one_year(kernel: Kernel, many: ManyYears, spots: list[Spot], number: int):  # type: ignore[no-untyped-def]
    from ohmwright.energy.loop import Accounts, Hours
    from ohmwright.energy.one_year import OneYear
    from ohmwright.energy.series import rows_of
    from ohmwright.energy.skies import ready, skies_of

    own = ready(many.plan, spots, varied=False)
    skies = skies_of(kernel, own, spots, number, 1, many.seed)
    rows = rows_of(many.plan, tuple(skies[0].tolist()))
    return OneYear(many.plan, (), Hours(rows, (), (), ()), Accounts({}, (), 0.0))


def test_named_loads_are_short_only_when_all_else_is_lost(
    kernel: Kernel, plan: EnergyPlan, duluth: Spot
) -> None:
    spared = {"nothing": np.zeros(HOURS), "all": np.full(HOURS, 1e12), "most": np.full(HOURS, 150.0)}
    got = many_years(kernel, plan, [duluth], 8, 3, asks=Asks({}, spared), workers=1)
    assert np.array_equal(got.missed["nothing"], got.short())
    assert not got.missed["all"].any()
    assert 0 < got.missed["most"].sum() < got.missed["nothing"].sum()


def test_the_hours_of_the_bad_week_are_the_plain_loops(
    kernel: Kernel, many: ManyYears, duluth: Spot, plain_charge: Callable[..., np.ndarray]
) -> None:
    same = SameYears(kernel, many, [duluth], workers=1)
    both = charge_of_years(same, [5, 120])
    # What the weather adds to the loads is added in another order there: the last bits differ.
    assert both[0] == pytest.approx(plain_charge(many, [duluth], 5), abs=1e-9)
    assert both[1] == pytest.approx(plain_charge(many, [duluth], 120), abs=1e-9)
    week = bad_week_of(same)
    assert len(week["soc"]) == 168
    assert all(a <= b for a, b in zip(week["soc_low"], week["soc_high"], strict=True))


def test_fifty_two_weeks_hold_the_whole_year(many: ManyYears) -> None:
    weeks = weeks_of(many)
    assert len(weeks) == 52
    assert sum(w["unserved_kWh"] for w in weeks) == pytest.approx(many.lacking_Wh().sum(axis=1).mean() / 1000)
    assert sum(w["wants_kWh"] for w in weeks) == pytest.approx(
        many.column("load_Wh").sum(axis=1).mean() / 1000
    )
    assert weeks[0]["first_day"] == "01-01"
    assert weeks[51]["first_day"] == "12-24"


def test_a_bad_year_is_told_in_plain_words(many: ManyYears) -> None:
    said = verdict_of(many)
    assert said[0].startswith("In a usual year")
    assert "you plug in every" in said[1]
    assert every(5.0) == "every fifth day"
    shut = replace(many, plug_in=np.zeros_like(many.plug_in))
    assert spells_of(shut) == ()


def test_guests_eat_a_tenth_more_of_what_people_use_only_when_asked(plan: EnergyPlan) -> None:
    day = replace(plan.stays[0].days[0], steady_W=(10.0,) * 24)
    base = replace(plan, stays=(replace(plan.stays[0], days=dict.fromkeys(range(12), day)),))
    more = with_guests(base, 0.10)
    assert more.stays[0].days[0].ac_W[3] == pytest.approx(1.1 * day.ac_W[3])
    assert more.stays[0].days[0].dc_W[3] == pytest.approx(1.1 * (day.dc_W[3] - 10.0) + 10.0)
    assert any("guests" in a for a in more.assumptions)
    assert not any("guests" in a for a in base.assumptions)


def test_a_bank_that_waits_for_its_restart_keeps_the_lights_off_longer(
    plan: EnergyPlan, north: WeatherYear
) -> None:
    from ohmwright.energy.one_year import work_out

    waits = replace(plan, bank=replace(plan.bank, restart_ratio=0.30))
    a, b = work_out(plan, [north]), work_out(waits, [north])
    assert sum(b.days_short()) > 0
    assert b.accounts.balance_Wh < 1e-9
    # Hours wholly dark come only with the wait: without it the array's own power is still given.
    dark = [t for t, (w, u) in enumerate(zip(b.accounts.columns["load_Wh"], b.accounts.columns["unserved_Wh"], strict=True)) if u >= w > 0]  # fmt: skip
    assert dark
    assert all(b.accounts.soc[t] <= 0.30 + 0.2 for t in dark)
    assert sum(a.accounts.columns["unserved_Wh"]) > 0


def test_the_last_of_a_lead_acid_charge_takes_hours_whatever_the_charger(
    plan: EnergyPlan, lead: Bank
) -> None:
    # Trade knowledge: from 85 % on it takes hours; lithium is done in a fraction of that.
    slow, quick = hours_to_fill_h(replace(plan, bank=lead)), hours_to_fill_h(plan)
    assert slow is None or slow >= 4
    assert quick == 1


def test_the_dark_days_get_darker_with_rarity_and_brighter_with_length(duluth: Spot) -> None:
    told = bad_weeks(duluth, 300, 1)
    for row in told.mean_kWh_m2:
        assert list(row) == sorted(row, reverse=True)
    for column in zip(*told.mean_kWh_m2, strict=True):
        assert list(column) == sorted(column)


def test_a_heater_on_surplus_takes_nothing_that_the_loads_want(plan: EnergyPlan, north: WeatherYear) -> None:
    box = replace(plan.bank, regime="box", kept_above_degC=5.0, heater_W=60.0, conductance_W_per_K=1.0)
    on_surplus = replace(plan, bank=replace(box, heated_by_surplus=True))
    always, some = (hours_of(p, lambda _: north) for p in (replace(plan, bank=box), on_surplus))
    heat = [r[1] - q[1] for r, q in zip(some.rows, hours_of(replace(plan, bank=replace(box, heater_W=0.0)), lambda _: north).rows, strict=True)]  # fmt: skip
    asked = 1559 / 24 + 1910 / 24 * 1.05 + 20.0
    assert max(heat) > 0
    assert all(h <= max(r[0] - asked, 0.0) + 1e-6 for h, r in zip(heat, some.rows, strict=True))
    assert sum(some.bank_degC) < sum(always.bank_degC)


def test_a_shade_factor_by_hour_takes_that_share_of_the_array(kernel: Kernel, plan: EnergyPlan, duluth: Spot, north: WeatherYear, array: Array) -> None:  # fmt: skip
    half = np.ones(HOURS)
    half[4000:] = 0.5
    plain, shaded = hours_of(plan, lambda _: north), hours_of(plan, lambda _: north, {array.id: half})
    assert shaded.array_in_W[:4000] == plain.array_in_W[:4000]
    assert sum(shaded.array_in_W[4000:]) == pytest.approx(0.5 * sum(plain.array_in_W[4000:]))
    a = many_years(kernel, plan, [duluth], 4, 3, workers=1)
    b = many_years(kernel, plan, [duluth], 4, 3, shade={array.id: half}, workers=1)
    assert np.array_equal(a.possible_Wh[:, :166], b.possible_Wh[:, :166])
    assert b.possible_Wh[:, 167:].sum() == pytest.approx(0.5 * a.possible_Wh[:, 167:].sum(), rel=0.03)


@pytest.fixture
def ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., tuple[int, str]]:
    monkeypatch.setenv("OHMWRIGHT_CACHE", str(tmp_path))

    def call(*words: str) -> tuple[int, str]:
        done = CliRunner().invoke(year_command, list(words), standalone_mode=False)
        assert done.exception is None, done.output
        return done.return_value, done.output

    return call


def test_the_verdict_comes_first_and_the_answer_in_json_says_the_same(
    ask: Callable[..., tuple[int, str]],
) -> None:
    rig = str(DEMOS / "trailer" / "rig.yaml")
    code, text = ask(rig, "--years", "32", "--seed", "5")
    assert code == 1
    first = [line for line in text.splitlines() if line]
    assert first[0].startswith("In a typical year")
    assert first[1].startswith("In a usual year")
    code, again = ask(rig, "--years", "32", "--seed", "5", "--json")
    told = json.loads(again)
    assert told["years"] == 32
    assert told["seed"] == 5
    assert told["nights_lost"]["p90"] >= told["nights_lost"]["p50"]
    assert told["verdict"][0][:30] == first[1][:30]
    assert told["balance_error"] < 1e-9
    assert len(told["by_chance"]["weeks"]) == 52
    assert len(told["by_chance"]["bad_week"]["soc"]) == 168
    assert told["storage"][0]["days_to_floor"][0] < told["storage"][0]["days_to_floor"][2]
    assert {b["what"] for b in told["bought"]}


def test_one_year_is_the_plain_year_and_tells_no_chance(ask: Callable[..., tuple[int, str]]) -> None:
    told = json.loads(ask(str(DEMOS / "cabin" / "rig.yaml"), "--years", "1", "--json")[1])
    assert told["years"] == 1
    assert told["nights_lost"]["p50"] is None
    assert "One year cannot say" in told["verdict"][1]


def test_snow_can_be_left_out_and_brushed_off(tmp_path: Path) -> None:
    # Duluth: the yard in winter, flat modules, nothing cut off, somebody there or not.
    text = (DEMOS / "trailer" / "rig.yaml").read_text()
    assert "mode: laid-up, shore: none" in text
    (tmp_path / "rig.yaml").write_text(
        text.replace("mode: laid-up, shore: none", "mode: occupied, shore: none")
    )
    opened = open_rig(str(tmp_path / "rig.yaml"))
    by = {snow: year_of_opened(opened, snow=snow).year for snow in SNOWS}
    winter = {snow: y.stays[1].array_Wh_per_day for snow, y in by.items()}
    assert winter["lies"] < winter["cleared"] < winter["none"]
    assert any("Snow on the array is not counted" in n for n in by["none"].notes)
    assert not any("Snow on the array is not counted" in n for n in by["lies"].notes)


def test_nothing_is_promised_while_loads_are_left_out(tmp_path: Path) -> None:
    text = (DEMOS / "van" / "rig.yaml").read_text()
    assert "place: unknown (asked 2026-03-14)" in text
    (tmp_path / "rig.yaml").write_text(
        text.replace("place: unknown (asked 2026-03-14)", "place: Bristol GB").replace(
            "  answers:\n    complaint",
            "  promises:\n    - {name: quiet, nights-lost: 3}\n  answers:\n    complaint",
        )
    )
    year = year_of_opened(open_rig(str(tmp_path / "rig.yaml")), years=32).year
    assert any("kettle" in line and "truth is worse" in line for line in year.verdict)
    quiet = next(p for p in year.promises if p.name == "quiet")
    assert quiet.kept is None
    assert "kettle" in quiet.got


def test_compiled_years_are_kept_where_the_user_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OHMWRIGHT_CACHE", str(tmp_path / "own"))
    assert kernel_folder() == str(tmp_path / "own" / "kernel")
    monkeypatch.delenv("OHMWRIGHT_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert kernel_folder() == str(tmp_path / "ohmwright" / "kernel")
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("OHMWRIGHT_CACHE", str(tmp_path / "file"))
    assert kernel_folder() == ""


def test_daily_columns_are_named_once() -> None:
    assert len(set(DAILY)) == len(DAILY)
