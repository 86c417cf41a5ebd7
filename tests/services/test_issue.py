"""An issued revision is frozen, complete alone, and never rewritten."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from ohmwright.services.new import like

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
