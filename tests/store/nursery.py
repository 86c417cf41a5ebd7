"""Raises children that save in a loop until they are killed; run by test_kill.py, imports only what saves.

Reads `WAY PATH` lines, forks a child for each, says `pid N`, and after the next line (the child is dead by then)
says `gone`.  A child says `ack N` when save number N has returned.
"""

import hashlib
import os
import sys

from ohmwright.store.save import save

CHUNK = 4096
MOST_BYTES = 160_000


def content(serial: int) -> bytes:
    """A text that shows its own number and whether it is whole; its length differs from save to save."""
    body = f"{serial}\n".encode() + b"x" * (serial * 7919 % MOST_BYTES)
    return body + b"\n" + hashlib.sha256(body).hexdigest().encode()


def in_place(path: str, data: bytes) -> None:
    """What a careless program does: the control of the experiment."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    for start in range(0, len(data), CHUNK):
        os.write(handle, data[start : start + CHUNK])
    os.fsync(handle)
    os.close(handle)


def save_for_ever(way: str, path: str, serial: int) -> None:
    """Save, acknowledge, and again."""
    write = save if way == "save" else in_place
    while True:
        write(path, content(serial))
        os.write(1, f"ack {serial}\n".encode())
        serial += 1


def main() -> None:
    """Serve until the input ends."""
    for line in sys.stdin:
        way, serial, path = line.split(maxsplit=2)
        child = os.fork()
        if child == 0:
            save_for_ever(way, path.strip(), int(serial))
        os.write(1, f"pid {child}\n".encode())
        os.waitpid(child, 0)
        os.write(1, b"gone\n")


if __name__ == "__main__":
    main()
