"""Write a file whole or not at all.

The new text goes into a file of its own beside the old one, is forced to the disk, and takes the old one's
place in one step: whoever reads sees the old text or the new, and after a power cut one of the two is there.
This module imports nothing of ohmwright and no pathlib, so that it starts at once wherever a process saves.
"""

import errno
import os
import time

PART = ".part"
STALE_SECONDS = 3600.0

_counted = 0


def save(path: str | os.PathLike[str], data: bytes, part: str = "") -> None:
    """Replace the file at `path` by `data`; on return it is on the disk. `part` holds them already, if it is named.

    A link is followed, so that the file it leads to changes and the link stays.  The permissions of the old file stay.  A
    file that nobody may write is not replaced: issued revisions are kept that way.
    """
    target = os.path.realpath(path)
    folder = os.path.dirname(target)
    mode = mode_of(target)
    if mode is not None and not mode & 0o222:
        raise PermissionError(errno.EACCES, "read-only, and never rewritten", target)
    part = part or write_part(target, data, mode)
    try:
        os.replace(part, target)
    except BaseException:
        os.unlink(part)
        raise
    sync_folder(folder)
    _sweep(folder, os.path.basename(target))


def save_new(path: str | os.PathLike[str], data: bytes, mode: int = 0o644) -> None:
    """Write a file that must not be there yet; FileExistsError if it is. It appears whole or not at all."""
    target = os.path.abspath(path)
    part = write_part(target, data, mode)
    try:
        _link(part, target, data, mode)
    finally:
        os.unlink(part)
    sync_folder(os.path.dirname(target))


def write_part(target: str, data: bytes, mode: int | None) -> str:
    """Write `data` into a new file beside `target`, force it to the disk, and say its name."""
    global _counted
    _counted += 1
    folder, name = os.path.split(target)
    part = os.path.join(folder, f".{name}.{os.getpid()}.{_counted}{PART}")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o666)
    try:
        _write_all(handle, data)
        if mode is not None:
            os.fchmod(handle, mode)
        os.fsync(handle)
    except BaseException:
        os.close(handle)
        os.unlink(part)
        raise
    os.close(handle)
    return part


def sync_folder(folder: str | os.PathLike[str]) -> None:
    """Force a folder's list of names to the disk: a new name is not there before that."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write_all(handle: int, data: bytes) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]


def mode_of(target: str) -> int | None:
    """The permissions of a file; None where there is none."""
    try:
        return os.stat(target).st_mode & 0o7777
    except FileNotFoundError:
        return None


def _link(part: str, target: str, data: bytes, mode: int) -> None:
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except (
        OSError
    ):  # a file system without links, a memory stick for one: still exclusive, but not in one step
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, mode)
        try:
            _write_all(handle, data)
            os.fsync(handle)
        finally:
            os.close(handle)


def _sweep(folder: str, name: str) -> None:
    """Remove what saves that were killed have left of this file, once it is an hour old."""
    oldest = time.time() - STALE_SECONDS
    for entry in os.listdir(folder):
        if entry.startswith(f".{name}.") and entry.endswith(PART):
            part = os.path.join(folder, entry)
            try:
                if os.stat(part).st_mtime < oldest:
                    os.unlink(part)
            except FileNotFoundError:
                continue
