"""Which rigs of a job can be set side by side as a change order."""

from dataclasses import dataclass
from pathlib import Path

from ohmwright.change.follows import Moved
from ohmwright.services.compare import Compared, compare
from ohmwright.services.opening import today
from ohmwright.services.order_words import COUNTED, SMALL
from ohmwright.store import jobs
from ohmwright.store.reading import MOST_RIG_BYTES, sha256_of
from ohmwright.working import OhmwrightError

_MOST_FILES = 40


@dataclass(frozen=True, slots=True)
class Side:
    """A rig of a job: its key in an address, what people call it, and where it lies."""

    key: str
    name: str
    where: str

    @property
    def sha256(self) -> str:
        """The hash of what lies there now."""
        return jobs.resolve(self.where).loaded.sha256


def sides(folder: str) -> tuple[Side, ...]:
    """The working file, the issued revisions, and other rig files that lie in the folder."""
    job = jobs.Job(folder)
    out = [Side("working", "the working file", folder)]
    out += [Side(f"@{letter}", f"revision {letter}", f"{folder}@{letter}") for letter in jobs.revisions(job)]
    for file in sorted(Path(folder).glob("*.yaml"))[:_MOST_FILES]:
        if file.name != jobs.WORKING and file.is_file() and not file.is_symlink() and _is_rig(file):
            out.append(Side(file.name, file.name, str(file)))
    return tuple(out)


def _is_rig(file: Path) -> bool:
    """A rig file says so in one of its first lines."""
    if file.stat().st_size > MOST_RIG_BYTES:
        return False
    try:
        with file.open(encoding="utf-8") as lines:
            return any(line.startswith("ohmwright:") for line, _ in zip(lines, range(40), strict=False))
    except (OSError, UnicodeDecodeError):
        return False


def side_of(folder: str, key: str) -> Side:
    """The rig of that key; an error where the job has none."""
    for side in sides(folder):
        if side.key == key:
            return side
    raise OhmwrightError(f"this job has no rig '{key[:60]}'", remedy="choose one of the list")


def order(old: Side, new: Side) -> Compared:
    """Set two rigs side by side, with the papers that read otherwise."""
    if old.key == new.key:
        raise OhmwrightError("that is one and the same rig", remedy="choose two")
    return compare(old.where, new.where)


def stamp(folder: str, old: Side, new: Side) -> str:
    """Changes when either text, a part of the shelf or the ledger does."""
    job = jobs.Job(folder)
    beside = [Path(job.ledger), *sorted(Path(job.room("shelf")).glob("[!.]*.yaml"))]
    told = [f"{f} {f.stat().st_mtime_ns}" for f in beside if f.is_file()]
    return sha256_of(" ".join((today(), old.where, old.sha256, new.where, new.sha256, *told)).encode())


def judged(order: Compared) -> tuple[tuple[Moved, ...], tuple[Moved, ...], tuple[Moved, ...]]:
    """The figures heaviest first: those that count, those that moved by next to nothing, and those of money, mass and cable."""
    big, small, counted = [], [], []
    for m in order.follows.moved:
        if m.rank >= COUNTED:
            counted.append(m)
        elif m.verdict_before == m.verdict_after and m.limit_before == m.limit_after and m.far < SMALL:
            small.append(m)
        else:
            big.append(m)
    return tuple(big), tuple(small), tuple(counted)
