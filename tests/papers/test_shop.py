"""The shop's own tables: its minutes rule over ours, its stock is not bought again, and mistakes are told with their place."""

import shutil
from decimal import Decimal
from pathlib import Path

import pytest
from tests.papers.packs import DEMOS

from ohmwright.papers.labour import costing
from ohmwright.papers.order_list import order_for
from ohmwright.papers.parts_list import parts_table
from ohmwright.papers.tasks import packaged_tasks, read_stock, read_tasks
from ohmwright.services.check import check
from ohmwright.services.papers import material_of
from ohmwright.working import FileError


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The trailer as built, as a job folder."""
    shutil.copytree(DEMOS / "trailer", tmp_path / "job")
    shutil.copy(tmp_path / "job" / "rig-built.yaml", tmp_path / "job" / "rig.yaml")
    return tmp_path / "job"


def test_minutes_of_the_job_rule_over_common_practice_and_the_rest_stays(job: Path) -> None:
    m = material_of(check(str(job)), None)
    before = costing(m, order_for(m))
    (job / "tasks.yaml").write_text(
        "minutes:\n  commissioning: {low: 600, high: 900}\nrate-per-hour: {USD: 100}\n"
    )
    m = material_of(check(str(job)), None)
    after = costing(m, order_for(m))
    ours = packaged_tasks().minutes["commissioning"]
    assert after.high_hours - before.high_hours == pytest.approx(
        (Decimal(900) - ours[1]) / 60, abs=Decimal("0.11")
    )
    assert after.rate == 100
    assert after.margin_percent == before.margin_percent


def test_the_shops_folder_serves_every_job(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "tasks.yaml").write_text("margin-percent: 35\n")
    monkeypatch.setenv("OHMWRIGHT_SHOP", str(shop))
    assert material_of(check(str(job)), None).tasks.margin == 35
    (job / "tasks.yaml").write_text("margin-percent: 12\n")
    assert material_of(check(str(job)), None).tasks.margin == 12
    monkeypatch.setenv("OHMWRIGHT_SHOP", str(tmp_path / "gone"))
    with pytest.raises(FileError, match="OHMWRIGHT_SHOP names no folder"):
        material_of(check(str(job)), None)


def test_what_lies_in_stock_and_what_is_bought_is_not_bought_again(job: Path) -> None:
    from ohmwright.services import ledger

    def row(record: str) -> dict[str, object]:
        table = parts_table(material_of(check(str(job)), None))
        found = next(r for r in table.rows if r[1] == record)
        return {c.title: cell for c, cell in zip(table.columns, found, strict=True)}

    record = next(iter(check(str(job)).study.takeoff.parts)).record
    plain = row(record)
    assert plain["in stock"] is None
    assert plain["to buy"] == plain["count"]
    (job / "stock.yaml").write_text(f"stock: {{{record}: 1}}\n")
    assert row(record)["in stock"] == 1
    assert row(record)["to buy"] == int(str(plain["count"])) - 1
    bought = check(str(job)).study.rig.of_kind("inverter-charger")[0]
    ledger.add(str(job), "bought", (bought.id,), amount="100 USD")
    assert row(bought.record.id)["to buy"] == 0


def test_batteries_bear_their_number_of_dangerous_goods(job: Path) -> None:
    m = material_of(check(str(job)), None)
    table = parts_table(m)
    titles = [c.title for c in table.columns]
    goods = {r[1]: r[titles.index("dangerous goods")] for r in table.rows}
    kinds = {p.record: p.kind for p in m.takeoff.parts}
    for record, told in goods.items():
        assert (told == "UN 3480") == (kinds[str(record)] == "battery")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("minuts: {}\n", "did you mean minutes"),
        ("minutes: {lugs: {low: 1, high: 2}}\n", "did you mean lug"),
        ("minutes: {lug: {low: 3, high: 2}}\n", "low 3 is more than high 2"),
        ("minutes: {lug: {low: x, high: 2}}\n", "is no number"),
        ("minutes: {lug: {low: 1e9, high: 1e10}}\n", "is no number"),
        ("minutes: {lug: 6}\n", "is a map"),
        ("heavy-from: 3 kg\n", "an area"),
        ("[]\n", "is a map"),
    ],
)
def test_a_mistake_in_the_table_is_told_with_its_place(text: str, told: str) -> None:
    with pytest.raises(FileError) as found:
        read_tasks(text, "tasks.yaml")
    assert told in f"{found.value.message} {found.value.remedy}"
    assert found.value.at.line >= 1


def test_a_stock_list_has_counts_and_nothing_else() -> None:
    assert read_stock("stock: {a-1: 3}\n", "stock.yaml") == {"a-1": 3}
    with pytest.raises(FileError):
        read_stock("stock: {a-1: -3}\n", "stock.yaml")
    with pytest.raises(FileError):
        read_stock("stok: {a-1: 3}\n", "stock.yaml")
