"""An issued revision is frozen, complete alone, and never rewritten."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ohmwright.services.new import like
from ohmwright.services.opening import open_rig
from ohmwright.takeoff.count import takeoff_of
from ohmwright.takeoff.order import order_of

Told = tuple[int, str, str]
Answer = Callable[..., dict[str, Any]]


def test_a_quote_is_issued_with_its_dangers_told(
    call: Callable[..., Told], answer: Answer, tmp_path: Path
) -> None:
    job = like(str(tmp_path / "job"), "trailer")

    told = answer("issue", job, "--as", "quoted")

    assert told["letter"] == "A"
    text = (job / "issued" / "A.rig.yaml").read_text(encoding="utf-8")
    assert "danger" in text.partition("frozen:")[2]
    assert call("issue", job, "--as", "quoted")[1].count("revision B")


def test_a_rig_with_dangers_is_not_issued_for_build(call: Callable[..., Told], tmp_path: Path) -> None:
    job = like(str(tmp_path / "job"), "trailer")

    status, out, _ = call("issue", job, "--as", "build")

    assert status == 1
    assert out.startswith("Not issued.")
    assert not list((job / "issued").iterdir())


def test_an_issued_revision_answers_alone(call: Callable[..., Told], answer: Answer, tmp_path: Path) -> None:
    job = like(str(tmp_path / "job"), "trailer")
    (job / "rig.yaml").write_bytes((job / "rig-built.yaml").read_bytes())
    assert call("issue", job, "--as", "built")[1].startswith("Issued revision A")
    here = answer("check", job)

    alone = tmp_path / "elsewhere.yaml"
    alone.write_bytes((job / "issued" / "A.rig.yaml").read_bytes())
    there = answer("check", alone)

    keep = ("rule", "subject", "verdict", "value", "limit", "message", "clause")
    assert [{k: f[k] for k in keep} for f in there["findings"]] == [
        {k: f[k] for k in keep} for f in here["findings"]
    ]
    assert there["revision"] == "A"
    assert answer("check", f"{job}@A")["revision"] == "A"


def test_an_issued_revision_cannot_be_set(call: Callable[..., Told], tmp_path: Path) -> None:
    job = like(str(tmp_path / "job"), "trailer")
    call("issue", job, "--as", "quoted")

    status, _, err = call("set", f"{job}@A", "W15.length", "3 m")

    assert status == 2
    assert "never rewritten" in err


def test_an_issued_file_alone_gives_the_same_lists_and_prices(
    call: Callable[..., Told], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The shelf of the day: whatever the packaged shelf becomes, the issued file keeps what its order rests on.
    job = like(str(tmp_path / "job"), "trailer")
    (job / "rig.yaml").write_bytes((job / "rig-built.yaml").read_bytes())
    assert call("issue", job, "--as", "built")[1].startswith("Issued revision A")
    alone = tmp_path / "elsewhere" / "A.rig.yaml"
    alone.parent.mkdir()
    alone.write_bytes((job / "issued" / "A.rig.yaml").read_bytes())
    here = open_rig(str(job))
    orders = [order_of(takeoff_of(here.rig), here.shelf, here.rig.job.currency)]
    monkeypatch.setattr("ohmwright.shelf.load._packaged_record", lambda _: None)

    there = open_rig(str(alone))
    orders.append(order_of(takeoff_of(there.rig), there.shelf, there.rig.job.currency))

    assert orders[0].records
    assert all(x.price is not None for x in orders[0].lugs)
    assert orders[1] == orders[0]
    parts = [
        [(p.record, p.count, p.price, p.mass_kg, p.lead_days) for p in takeoff_of(o.rig).parts]
        for o in (here, there)
    ]
    assert parts[1] == parts[0]
