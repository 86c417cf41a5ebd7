"""A bench that is killed in the middle of a change loses nothing that it had acknowledged, and its undo stays whole."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from ohmwright.services.desk import Desk
from ohmwright.services.new import from_text
from ohmwright.store import history

KILLS = 300
SOURCES = Path(__file__).parents[2] / "src"
RIG = """\
ohmwright: 1
job: {id: small, title: Small, rules: us-vehicle 2023}
host: {kind: van, places: {bay: {regime: cabin}}}
parts:
  B: {is: battery-lfp-200ah-12v, at: bay}
  F1: {is: fuse-class-t-300a, at: bay}
runs:
  W1: {from: B.+, to: F1.line, cable: 2 AWG 105C red, length: 1000 mm}   # the remark stays
"""


@pytest.mark.slow
def test_three_hundred_kills_in_the_middle_of_a_change_lose_nothing_acknowledged(tmp_path: Path) -> None:
    from_text(str(tmp_path / "small"), RIG, "RIG")
    file = tmp_path / "small" / "rig.yaml"
    acknowledged_at_all = 0
    with subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name("desk_nursery.py")), str(tmp_path), str(KILLS)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(SOURCES)},
    ) as nursery:
        assert nursery.stdout
        assert nursery.stdin
        last = 1000
        for line in nursery.stdout:
            began, done = (int(word) for word in line.split())
            last = done or last
            acknowledged_at_all += bool(done)
            text = file.read_text(encoding="utf-8")
            found = re.search(r"length: (\d+) mm", text)
            assert found
            assert text == RIG.replace("1000 mm", f"{found[1]} mm"), "the file is whole, to the letter"
            assert int(found[1]) in (last, last + 1, began), line
            assert done <= int(found[1])
            last = int(found[1])
            nursery.stdin.write(f"{last + 1}\n")
            nursery.stdin.flush()
    assert acknowledged_at_all > KILLS // 4
    desk = Desk(str(tmp_path))
    back, _ = desk.steps("small")
    assert back > 0
    folder = str(tmp_path / "small")
    assert all(history.text_of(folder, m) is not None for m in history.read_trail(folder).marks)
    undone = desk.step("small", desk.look("small").sha256, -1).after
    assert undone.rig.text == file.read_text(encoding="utf-8")
