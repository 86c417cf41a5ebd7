"""Papers and many years: long work beside the sheets. What was asked for is written down, so that a restart goes on with it."""

from collections.abc import Iterator
from contextlib import contextmanager

from ohmwright.services.almanac import Almanac, Tell, almanac_of
from ohmwright.services.desk import Look
from ohmwright.store import wishes
from ohmwright.store.jobs import Job
from ohmwright.web.bench import Bench
from ohmwright.web.child import CutOffError, in_child
from ohmwright.web.works import Work
from ohmwright.working import OhmwrightError

PAPERS, ALMANAC = "papers", "almanac"
MADE_YEARS = 64


def where_of(bench: Bench, look: Look) -> str:
    """What a command would call the rig."""
    folder = bench.desk.folder(look.job)
    return f"{folder}@{look.letter}" if look.letter else folder


def out_of(bench: Bench, look: Look) -> str:
    """Where the papers of a rig lie."""
    return Job(bench.desk.folder(look.job)).papers(look.letter or None)


def key_of(what: str, look: Look) -> str:
    """The name of the work."""
    return f"{what} {look.address}"


def begin_papers(bench: Bench, look: Look, units: str = "") -> None:
    """Make the papers of the rig as it lies there."""
    where, out = where_of(bench, look), out_of(bench, look)

    def do(work: Work[str]) -> str:
        with _written_down(bench, look, PAPERS, units=units):
            in_child(work, _papers, where, out, units)
        return look.sha256

    bench.papers.begin(key_of(PAPERS, look), do)


def begin_almanac(bench: Bench, look: Look) -> None:
    """Work out what one made year in ten brings, what other sizes would do, and what buys nights back."""
    where = where_of(bench, look)

    def do(work: Work[Almanac]) -> Almanac:
        with _written_down(bench, look, ALMANAC):
            return in_child(work, _almanac, where, look.sha256)

    bench.almanacs.begin(f"{key_of(ALMANAC, look)} {look.sha256}", do)


@contextmanager
def _written_down(bench: Bench, look: Look, what: str, **facts: str) -> Iterator[None]:
    """The wish lies in the job folder while the work goes on, and stays there when the program is ended in the middle."""
    folder, name = bench.desk.folder(look.job), f"{what}-{look.letter or 'working'}"
    wishes.note(folder, name, {"what": what, "letter": look.letter, **facts})
    try:
        yield
    except CutOffError:
        raise
    except BaseException:
        wishes.settle(folder, name)
        raise
    wishes.settle(folder, name)


def go_on(bench: Bench, job: str) -> None:
    """Begin again what a restart has cut off in a job."""
    folder = bench.desk.folder(job)
    for name, wish in wishes.open_wishes(folder).items():
        letter = wish.get("letter", "")
        try:
            look = bench.desk.look(f"{job}@{letter}" if letter else job)
        except OhmwrightError:
            wishes.settle(folder, name)
            continue
        if wish.get("what") == PAPERS:
            begin_papers(bench, look, wish.get("units", ""))
        elif wish.get("what") == ALMANAC:
            begin_almanac(bench, look)


def _papers(tell: Tell, where: str, out: str, units: str) -> int:
    """In the other process."""
    from ohmwright.services.papers import Look as How
    from ohmwright.services.papers import papers

    done = papers(where, out, look=How(units="us" if units == "us" else ""), heed=tell)
    return len(done.made)


def _almanac(tell: Tell, where: str, sha256: str) -> Almanac:
    """In the other process."""
    from ohmwright.services.opening import open_rig

    opened = open_rig(where)
    if opened.sha256 != sha256:
        raise OhmwrightError("the working file was changed meanwhile", remedy="ask for the years again")
    return almanac_of(opened, MADE_YEARS, tell)
