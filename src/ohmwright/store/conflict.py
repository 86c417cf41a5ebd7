"""Two people, one working file: nobody's save covers what the other has written meanwhile."""

from pathlib import Path

from ohmwright.store.ahead import Ahead
from ohmwright.store.locked import locked
from ohmwright.store.reading import MOST_RIG_BYTES, read, sha256_of
from ohmwright.store.save import save
from ohmwright.working import FileError, OhmwrightError, Position


class ChangedUnderneathError(OhmwrightError):
    """The file is no longer the one that was opened; nothing was written."""

    def __init__(self, path: str | Path, *, opened: str, now: str) -> None:
        self.path, self.opened, self.now = path, opened, now
        what = "has been removed" if not now else "was changed by someone else"
        super().__init__(
            f"{path} {what} since it was opened",
            remedy="open it again and repeat the change; nothing was overwritten",
        )


def hash_now(path: str | Path, *, most: int = MOST_RIG_BYTES) -> str:
    """The hash of the file as it lies there, or nothing when there is none."""
    return read(path, most=most).sha256 if Path(path).exists() else ""


def changed_underneath(path: str | Path, opened: str) -> bool:
    """True when the file is not the one whose hash was `opened`."""
    return hash_now(path) != opened


def save_unless_changed(path: str | Path, text: str, opened: str, ahead: Ahead | None = None) -> str:
    """Save `text` if the file still has the hash `opened`; the new hash. ChangedUnderneathError otherwise."""
    data = text.encode() if ahead is None else ahead.data
    if len(data) > MOST_RIG_BYTES:
        raise FileError(
            "the text is larger than a rig file may be",
            at=Position(str(path), 1, 1),
            remedy=f"keep it below {MOST_RIG_BYTES / 1e6:g} MB",
        )
    with locked(path):
        if (now := hash_now(path)) != opened:
            raise ChangedUnderneathError(path, opened=opened, now=now)
        save(path, data, ahead.part if ahead is not None else "")
    return sha256_of(data)
