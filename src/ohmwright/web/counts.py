"""What the register tells of a job, kept for as long as its files lie there unchanged: of many jobs few studies stay at hand."""

from dataclasses import dataclass
from threading import Lock

from ohmwright.services.desk import Desk, Look


@dataclass(frozen=True, slots=True)
class Counted:
    """A job in figures; or why it could not be read."""

    title: str
    host: str
    stage: str
    dangers: int
    fails: int
    silent: int
    """What cannot be told."""
    trouble: str = ""


def counted(look: Look) -> Counted:
    """What was found in a job."""
    found, rig = look.checked.findings, look.rig
    return Counted(
        rig.job.title or look.job,
        rig.host.kind,
        rig.job.stage,
        sum(f.verdict == "fail" and f.severity == "danger" for f in found),
        sum(f.verdict == "fail" and f.severity == "fails" for f in found),
        sum(f.verdict == "cannot-tell" for f in found),
    )


def unread(job: str, trouble: str) -> Counted:
    """A job that could not be read, and why."""
    return Counted(job, "", "", 0, 0, 0, trouble)


class Counts:
    """The figures of every job that was looked at, by how its files lie on the disk."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._kept: dict[str, tuple[object, Counted]] = {}
        self._lock = Lock()

    def of(self, job: str) -> Counted | None:
        """What was told of the job as it lies there now; None where nobody has looked at it yet."""
        lies = self._desk.lies(job)
        with self._lock:
            kept = self._kept.get(job)
        return kept[1] if kept is not None and kept[0] == lies else None

    def note(self, job: str, lies: object, told: Counted) -> Counted:
        """Keep what was told of a job whose files lay so before it was looked at."""
        with self._lock:
            self._kept[job] = lies, told
        return told
