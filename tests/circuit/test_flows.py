"""What `flows` tells and what it does not."""

import json
from pathlib import Path

from click.testing import CliRunner, Result

from ohmwright.cli.flows import flows_command
from ohmwright.services import demos


def flows(folder: Path, name: str, *more: str, old: str = "", new: str = "") -> Result:
    """The command on a demo rig, with a piece of its text replaced."""
    job = folder / name
    for file, content in demos.files_of(name).items():
        (job / file).parent.mkdir(parents=True, exist_ok=True)
        (job / file).write_bytes(content)
    if old:
        text = (job / "rig.yaml").read_text(encoding="utf-8")
        assert text.count(old) == 1
        (job / "rig.yaml").write_text(text.replace(old, new), encoding="utf-8")
    return CliRunner().invoke(flows_command, [str(job), *more], catch_exceptions=False)


def lengthless(name: str) -> tuple[str, str]:
    """A run of a demo rig without its length."""
    line = next(
        x
        for x in demos.files_of(name)["rig.yaml"].decode().splitlines()
        if x.strip().startswith("W") and "length: " in x and "AWG" in x and "PV" not in x
    )
    length = line[line.index("length: ") :].split(",")[0].split("}")[0]
    return line, line.replace(length, "length: unknown")


def test_a_conductor_of_unknown_length_has_no_drop_and_no_loss(tmp_path: Path) -> None:
    old, new = lengthless("trailer")
    cases = json.loads(flows(tmp_path, "trailer", "--json", old=old, new=new).output)["cases"]
    nobody_knows = [
        r
        for c in cases.values()
        for k, r in c["runs"].items()
        if k in c["unsolved"] and abs(r["current_A"]) > 0
    ]
    assert nobody_knows
    assert all(r["drop_V"] is None and r["loss_W"] is None for r in nobody_knows)
    told = [r for c in cases.values() for k, r in c["runs"].items() if k not in c["unsolved"]]
    assert all(r["drop_V"] is not None for r in told)


def test_clearing_times_name_both_bounds(tmp_path: Path) -> None:
    faults = json.loads(flows(tmp_path, "boat", "--json").output)["faults"]
    times = [f["clears_s"] for f in faults.values() if f["clears_s"] is not None]
    assert times
    assert all(set(t) == {"max", "min"} for t in times)


def test_a_case_asked_for_is_told_conductor_by_conductor(tmp_path: Path) -> None:
    text = flows(tmp_path, "trailer", "--case", "night-all").output
    assert text.startswith("night-all: ")
    assert "drop V" in text
    assert "noon-low" not in text


def test_the_full_inverter_and_one_battery_out_are_told_to_the_end(tmp_path: Path) -> None:
    told = json.loads(flows(tmp_path, "trailer", "--json").output)["cascades"]
    assert {"U2-full", "B-one-out"} <= set(told)
    assert all(c["dark"] == any("goes dark" in line for line in c["story"]) for c in told.values())
