"""The ledger of a job: what happened, line by line, never rewritten.

Each line is one JSON object and holds the hash of the line before, so that a line changed, removed, added or moved in
the middle is seen.  `ledger.head` beside it says how many lines there are and the hash of the last: so lines missing at the
end are seen too.  A line that a power cut left half written was never acknowledged; the next entry replaces it.
The chain shows accidents and careless hands; it is no seal against somebody who rewrites both files.
"""

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from ohmwright.store.locked import locked
from ohmwright.store.reading import MOST_LEDGER_BYTES, read, sha256_of
from ohmwright.store.save import save, sync_folder
from ohmwright.working import FileError, OhmwrightError, Position

BEGINNING = "0" * 64
MOST_LINE_BYTES = 64_000

Json: TypeAlias = "bool | int | float | str | list[Json] | Mapping[str, Json] | None"
_OURS = ("n", "at", "event", "by", "before")


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that happened. `facts` are what the event says beside when and by whom."""

    number: int
    at: str
    event: str
    by: str
    facts: Mapping[str, Json]
    before: str
    sha256: str


@dataclass(frozen=True, slots=True)
class _Chain:
    entries: tuple[Entry, ...]
    whole_bytes: int

    @property
    def last(self) -> str:
        return self.entries[-1].sha256 if self.entries else BEGINNING


def read_ledger(path: str | Path) -> tuple[Entry, ...]:
    """Every entry, oldest first; a FileError when the chain does not hold. No file is an empty ledger."""
    return _chain(Path(path)).entries


def append(
    path: str | Path, *, at: str, event: str, by: str, facts: Mapping[str, Json] | None = None
) -> Entry:
    """Write one entry; on return it is on the disk. Several writers queue for the file's lock."""
    path, facts = Path(path), facts or {}
    if taken := sorted(set(facts) & set(_OURS)):
        raise OhmwrightError(f"a ledger entry has its own {taken[0]}", remedy="name the fact otherwise")
    with locked(path):
        chain = _chain(path)
        number = len(chain.entries) + 1
        line = _line({"n": number, "at": at, "event": event, "by": by, **facts, "before": chain.last})
        if len(line) > MOST_LINE_BYTES:
            raise OhmwrightError(
                f"a ledger entry of {len(line)} bytes",
                remedy=f"write at most {MOST_LINE_BYTES}, and point to a file for the rest",
            )
        new = _write(path, line, chain.whole_bytes)
        entry = Entry(number, at, event, by, facts, chain.last, sha256_of(line))
        _set_head(path, number, entry.sha256)
        if new:
            sync_folder(path.parent)
    return entry


def _line(told: Mapping[str, Json]) -> bytes:
    return json.dumps(told, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


def _write(path: Path, line: bytes, whole_bytes: int) -> bool:
    new = not path.exists()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_CLOEXEC, 0o644)
    try:
        os.ftruncate(handle, whole_bytes)  # a line cut short by a power cut goes
        os.lseek(handle, 0, os.SEEK_END)
        rest = memoryview(line + b"\n")
        while rest:
            rest = rest[os.write(handle, rest) :]
        os.fsync(handle)
    finally:
        os.close(handle)
    return new


def _chain(path: Path) -> _Chain:
    head, data = _head_and_data(path)
    if data is None:
        if head is not None:
            raise _broken(path, 1, f"the ledger is gone; {head[0]} entries were in it")
        return _Chain((), 0)
    whole = data[: data.rfind(b"\n") + 1]
    entries: list[Entry] = []
    last = BEGINNING
    for number, line in enumerate(whole.split(b"\n")[:-1], start=1):
        entry = _entry(path, number, line)
        if entry.number != number or entry.before != last:
            raise _broken(
                path,
                number,
                "this line does not follow from the one before it: a line was changed, added or removed here or just above",
            )
        entries.append(entry)
        last = entry.sha256
    _compare(path, head, entries, torn=len(whole) < len(data))
    return _Chain(tuple(entries), len(whole))


def _head_and_data(path: Path) -> tuple[tuple[int, str] | None, bytes | None]:
    """Head and lines of one moment: while somebody is writing, both are read again."""
    while True:
        head = _head(path)
        data = read(path, most=MOST_LEDGER_BYTES).data if path.exists() else None
        if _head(path) == head:
            return head, data


def _compare(path: Path, head: tuple[int, str] | None, entries: list[Entry], *, torn: bool) -> None:
    """Hold the lines against the head, which a power cut may have left one entry behind."""
    count, last = head or (0, BEGINNING)
    if head is None and len(entries) > 1:
        raise _broken(
            path,
            len(entries),
            f"{_head_path(path).name} is missing, so nobody can say whether lines are",
        )
    if len(entries) < count:
        cut = "cut short" if torn else "missing"
        raise _broken(
            path,
            len(entries) + 1,
            f"the end of the ledger is {cut}: {count} entries were in it, {len(entries)} are left",
        )
    if count and entries[count - 1].sha256 != last:
        raise _broken(path, count, "the last line is not the one that was written")
    if len(entries) > count + 1:
        raise _broken(path, count + 2, f"{len(entries) - count} lines were added by another hand")


def _entry(path: Path, number: int, line: bytes) -> Entry:
    try:
        told = json.loads(line, parse_constant=_no_constant)
        facts = {k: v for k, v in told.items() if k not in _OURS}
        ours = (told["n"], told["at"], told["event"], told["by"], told["before"])
    except (ValueError, KeyError, AttributeError, RecursionError):
        raise _broken(path, number, "this line is no ledger entry") from None
    if not isinstance(ours[0], int) or not all(isinstance(word, str) for word in ours[1:]):
        raise _broken(path, number, "this line is no ledger entry")
    return Entry(ours[0], ours[1], ours[2], ours[3], facts, ours[4], sha256_of(line))


def _no_constant(word: str) -> float:
    raise ValueError(word)


def _head_path(path: Path) -> Path:
    return path.with_suffix(".head")


def _head(path: Path) -> tuple[int, str] | None:
    if not _head_path(path).exists():
        return None
    words = read(_head_path(path), most=1000).text.split()
    if len(words) != 2 or not words[0].isdecimal() or len(words[1]) != 64:
        raise _broken(_head_path(path), 1, "this is no head of a ledger")
    return int(words[0]), words[1]


def _set_head(path: Path, count: int, last: str) -> None:
    save(_head_path(path), f"{count} {last}\n".encode())


def _broken(path: Path, line: int, message: str) -> FileError:
    return FileError(
        message,
        at=Position(str(path), line, 1),
        remedy="take ledger and head from a backup, or find out who changed them",
    )
