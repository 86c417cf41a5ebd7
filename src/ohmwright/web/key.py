"""The token of a bench's forms outlasts the bench: made from a key that lies where its owner alone can read it."""

import base64
import hashlib
import hmac
import os
import secrets
import stat
import tempfile
from contextlib import suppress
from pathlib import Path

KEY_BYTES = 32
PURPOSE = b"forms of the bench over "


def token_of(folder: str) -> str:
    """The token of the forms of this user's bench over a folder of jobs; one for this run alone where no key can be kept."""
    try:
        key = _key(state_folder() / "bench.key")
    except (OSError, RuntimeError):
        key = secrets.token_bytes(KEY_BYTES)
    where = os.fsencode(os.path.realpath(folder))
    return base64.urlsafe_b64encode(hmac.digest(key, PURPOSE + where, hashlib.sha256)).decode().rstrip("=")


def state_folder() -> Path:
    """Where this user's programs keep what outlasts a run: $XDG_STATE_HOME, else ~/.local/state.

    Source: XDG Base Directory Specification, version 0.8.
    """
    named = os.environ.get("XDG_STATE_HOME", "")
    home = Path(named) if Path(named).is_absolute() else Path("~").expanduser() / ".local" / "state"
    return home / "ohmwright"


def _key(file: Path) -> bytes:
    """The key that lies there; a new one where there is none, or where others could have read it."""
    kept = _kept(file)
    if kept is not None:
        return kept
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    key = secrets.token_bytes(KEY_BYTES)
    handle, part = tempfile.mkstemp(
        dir=file.parent, prefix=".bench.key."
    )  # for its owner alone, from the first byte
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(key)
            out.flush()
            os.fsync(out.fileno())
        if file.is_symlink() or file.exists():
            Path(part).replace(file)
            return key
        with suppress(FileExistsError):
            os.link(part, file)
    finally:
        Path(part).unlink(missing_ok=True)
    return _kept(file) or key  # another bench may have been a moment sooner


def _kept(file: Path) -> bytes | None:
    try:
        handle = os.open(file, os.O_RDONLY | os.O_CLOEXEC | os.O_NOFOLLOW)
    except OSError:
        return None
    with os.fdopen(handle, "rb") as lies:
        is_ = os.fstat(lies.fileno())
        if not stat.S_ISREG(is_.st_mode) or is_.st_uid != os.geteuid() or is_.st_mode & 0o077:
            return None
        key = lies.read(KEY_BYTES + 1)
    return key if len(key) == KEY_BYTES else None
