"""A save survives being killed at any moment: what was acknowledged is there, and what is there is whole.

Killing a process proves the order of the writes against a crash of the program.  It cannot prove it against a power cut,
for the system keeps what was written; that the file and its folder are forced to the disk in the right order is
tested by watching the calls, in test_save.py.
"""

import hashlib
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

NURSERY = Path(__file__).with_name("nursery.py")
SOURCES = Path(__file__).parents[2] / "src"
KILLS = 300
LONGEST_LIFE_S = 0.02


@contextmanager
def nursery() -> Iterator[tuple[IO[str], IO[str]]]:
    surroundings = {**os.environ, "PYTHONPATH": str(SOURCES)}
    with subprocess.Popen(
        [sys.executable, "-S", str(NURSERY)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=surroundings,
    ) as process:
        assert process.stdin
        assert process.stdout
        yield process.stdin, process.stdout
        process.stdin.close()


def live_and_die(to: IO[str], out: IO[str], way: str, serial: int, path: Path, life_s: float) -> int | None:
    """The last number that a child acknowledged before it was killed."""
    to.write(f"{way} {serial} {path}\n")
    to.flush()
    acknowledged = None
    killed = False
    for line in out:
        word, _, number = line.strip().partition(" ")
        if word == "ack":
            acknowledged = int(number)
        elif word == "pid":
            child = int(number)
        elif word == "gone":
            assert killed
            return acknowledged
        if not killed and word == "pid":
            time.sleep(life_s)
            os.kill(child, signal.SIGKILL)
            killed = True
    raise AssertionError("the nursery fell silent")


def serial_of(path: Path) -> int | None:
    """The number of the text that lies there, or None when it is not whole."""
    body, _, claimed = path.read_bytes().rpartition(b"\n")
    if hashlib.sha256(body).hexdigest().encode() != claimed:
        return None
    return int(body.partition(b"\n")[0])


def test_three_hundred_kills_lose_nothing_and_spoil_nothing(tmp_path: Path) -> None:
    chance = random.Random(300)
    path = tmp_path / "rig.yaml"
    corrupt, lost, acknowledged_at_all = [], [], 0
    last = 0
    longest_s = LONGEST_LIFE_S
    with nursery() as (to, out):
        for kill in range(KILLS):
            acknowledged = live_and_die(to, out, "save", last + 1, path, chance.uniform(0, longest_s))
            # on a machine that has other work they live longer, so that enough of them come to save something
            longest_s = max(LONGEST_LIFE_S, longest_s * (1.1 if acknowledged is None else 0.97))
            if acknowledged is not None:
                last = acknowledged
                acknowledged_at_all += 1
            if not path.exists():
                if last:
                    lost.append(kill)
                continue
            found = serial_of(path)
            if found is None:
                corrupt.append(kill)
            elif found not in (
                last,
                last + 1,
            ):  # the one behind may have landed just before its acknowledgement
                lost.append(kill)
            else:
                last = found

    assert (corrupt, lost) == ([], [])
    assert acknowledged_at_all > KILLS // 4  # else the children died too young to have saved anything
    assert len(list(tmp_path.glob(".rig.yaml.*.part"))) > 0  # and some died in the middle of a save


def test_the_same_kills_catch_a_program_that_writes_in_place(tmp_path: Path) -> None:
    chance = random.Random(60)
    path = tmp_path / "rig.yaml"
    corrupt = 0
    with nursery() as (to, out):
        for kill in range(60):
            live_and_die(to, out, "in-place", 1 + kill * 1000, path, chance.uniform(0, LONGEST_LIFE_S))
            corrupt += path.exists() and serial_of(path) is None

    assert corrupt > 0
