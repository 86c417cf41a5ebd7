"""Which rigs of a job can be set side by side as a change order."""

from dataclasses import dataclass
from pathlib import Path

from ohmwright.change.follows import RANKS, Moved
from ohmwright.checks.types import Finding
from ohmwright.services.compare import Compared, compare
from ohmwright.services.opening import today
from ohmwright.services.order_words import COUNTED, SMALL, in_words
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


def paper_folder(folder: str) -> str:
    """Where the papers of the last change order lie."""
    return str(Path(jobs.Job(folder).room("papers"), "change-order"))


def stamp(folder: str, old: Side, new: Side) -> str:
    """Changes when either text, a part of the shelf or the ledger does."""
    job = jobs.Job(folder)
    beside = [Path(job.ledger), *sorted(Path(job.room("shelf")).glob("[!.]*.yaml"))]
    told = [f"{f} {f.stat().st_mtime_ns}" for f in beside if f.is_file()]
    return sha256_of(" ".join((today(), old.where, old.sha256, new.where, new.sha256, *told)).encode())


@dataclass(frozen=True, slots=True)
class Figures:
    """One figure, told for the subject in which it matters most, with the others of its name behind it."""

    first: Moved
    alike: tuple[Moved, ...] = ()


@dataclass(frozen=True, slots=True)
class Findings:
    """What one rule found, of one weight, with the subjects it is about."""

    first: Finding
    subjects: tuple[str, ...]


def figures_of(order: Compared) -> tuple[tuple[Figures, ...], tuple[Moved, ...], tuple[Figures, ...]]:
    """Heaviest first: the figures that count, those that count only as a number, and those of money, mass and cable.

    What moved by next to nothing, and what is judged no more because its subject is gone, counts only as a number.
    """
    big: dict[str, list[Moved]] = {}
    small, counted = [], []
    for m in order.follows.moved:
        turned = m.verdict_before != m.verdict_after
        both = m.before is not None and m.after is not None
        little = m.far < SMALL and m.limit_before == m.limit_after
        if m.rank >= COUNTED:
            counted.append(Figures(m))
        elif (both and little and not turned) or (
            not both and "fail" not in (m.verdict_before, m.verdict_after) and m.rule
        ):
            small.append(m)
        else:
            big.setdefault(m.name, []).append(m)
    return tuple(Figures(ms[0], tuple(ms[1:])) for ms in big.values()), tuple(small), tuple(counted)


def findings_of(findings: tuple[Finding, ...]) -> tuple[Findings, ...]:
    """Findings of one rule and weight as one, the gravest first."""
    alike: dict[tuple[str, str, str], list[Finding]] = {}
    for f in sorted(findings, key=lambda f: (f.verdict != "fail", RANKS[f.severity])):
        alike.setdefault((f.rule, f.severity, f.verdict), []).append(f)
    return tuple(Findings(fs[0], tuple(dict.fromkeys(f.subject for f in fs))) for fs in alike.values())


def changes_told(order: Compared) -> tuple[str, ...]:
    """What changes, in the lines that the command prints."""
    return dict(in_words(order))["What changes"]
