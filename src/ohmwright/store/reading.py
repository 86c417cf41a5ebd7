"""Read a file that somebody hands us: bounded before it is read, text or a clear refusal after."""

import hashlib
import os
import stat
from dataclasses import dataclass
from pathlib import Path

from ohmwright.working import FileError, Position

MOST_RIG_BYTES = 5_000_000
MOST_LEDGER_BYTES = 50_000_000


@dataclass(frozen=True, slots=True)
class Loaded:
    """A file as it was when it was read. `sha256` is that of its bytes."""

    path: str
    data: bytes
    sha256: str

    @property
    def text(self) -> str:
        """The bytes as UTF-8 text, without a byte order mark."""
        return text_of(self.data, self.path)


def sha256_of(data: bytes) -> str:
    """The hash by which a text is known."""
    return hashlib.sha256(data).hexdigest()


def read(path: str | Path, *, most: int = MOST_RIG_BYTES) -> Loaded:
    """The bytes of the file at `path`, or a FileError: absent, no plain file, larger than `most`."""
    try:
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    except OSError as error:
        raise refused(path, error) from None
    except ValueError:
        raise _whole(path, "this is no name of a file", "look at its name") from None
    try:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            raise _whole(path, "this is no file", "name a rig file, a job folder, or DIR@B")
        if status.st_size > most:
            raise _too_large(path, status.st_size, most)
        data = _read_up_to(handle, most + 1)
    except OSError as error:
        raise refused(path, error) from None
    finally:
        os.close(handle)
    if len(data) > most:
        raise _too_large(path, len(data), most)
    return Loaded(str(path), data, sha256_of(data))


def text_of(data: bytes, path: str | Path) -> str:
    """UTF-8 text, or a FileError at the first byte that is none."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise _whole(path, "the file is UTF-16", "save it as UTF-8")
    try:
        return data.removeprefix(b"\xef\xbb\xbf").decode()
    except UnicodeDecodeError as error:
        before = error.object[: error.start]
        line = before[before.rfind(b"\n") + 1 :].decode()
        at = Position(str(path), before.count(b"\n") + 1, len(line) + 1, len(before.decode()))
        raise FileError(
            f"byte 0x{error.object[error.start]:02X} is no UTF-8", at=at, remedy="save the file as UTF-8"
        ) from None


def refused(path: str | Path, error: OSError) -> FileError:
    """What the system answered, in words."""
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return _whole(path, "there is no such file", "look at its name, or make a job with `ohmwright new`")
    if isinstance(error, PermissionError):
        return _whole(path, "this file may not be read", "ask for its permissions to be changed")
    return _whole(
        path, (error.strerror or "the file cannot be used").lower(), "look at the disk and the name"
    )


def _read_up_to(handle: int, most: int) -> bytes:
    pieces: list[bytes] = []
    left = most
    while left > 0 and (piece := os.read(handle, min(left, 1 << 20))):
        pieces.append(piece)
        left -= len(piece)
    return b"".join(pieces)


def _whole(path: str | Path, message: str, remedy: str) -> FileError:
    return FileError(message, at=Position(str(path), 1, 1), remedy=remedy)


def _too_large(path: str | Path, size: int, most: int) -> FileError:
    return _whole(
        path,
        f"the file has {size / 1e6:.1f} MB, at most {most / 1e6:g} MB are read",
        "keep logs and photographs in files of their own",
    )
