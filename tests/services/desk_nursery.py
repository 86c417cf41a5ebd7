"""Run by test_desk_kill: children that change a job on the desk until they are killed, and say what they have done."""

import os
import random
import signal
import sys
import time

from ohmwright.services.desk import Desk, Put

JOB = "small"


def main() -> None:
    """`FOLDER KILLS`: a line for each child: the number it began with, and the last one it acknowledged."""
    folder, kills = sys.argv[1], int(sys.argv[2])
    chance = random.Random(300)
    Desk(folder).look(JOB)  # what is imported is imported here, once
    longest_s, serial = 0.05, 1
    for _ in range(kills):
        acks, to = os.pipe()
        child = os.fork()
        if not child:
            os.close(acks)
            _change_for_ever(folder, serial, to)
        os.close(to)
        time.sleep(chance.uniform(0, longest_s))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with os.fdopen(acks) as told:
            done = [int(line) for line in told if line.endswith("\n")]
        longest_s = max(0.02, longest_s * (0.97 if done else 1.1))
        sys.stdout.write(f"{serial} {done[-1] if done else 0}\n")
        sys.stdout.flush()
        serial = int(sys.stdin.readline())


def _change_for_ever(folder: str, serial: int, to: int) -> None:
    desk = Desk(folder)
    while True:
        desk.put(JOB, desk.look(JOB).sha256, [Put("W1.length", f"{serial} mm")])
        os.write(to, f"{serial}\n".encode())
        serial += 1


if __name__ == "__main__":
    main()
