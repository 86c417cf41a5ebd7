"""Papers, many years, answers, the order to sign: long work beside the sheets, in a process of its own.

What was asked for is written down, so that a restart goes on with it; what came out of it lies on the disk, so that a
restart finds it again.
"""

import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from ohmwright.services.almanac import Almanac, Tell, Typical, almanac_of
from ohmwright.services.desk import Look
from ohmwright.services.mending import Answers
from ohmwright.store import wishes
from ohmwright.store.jobs import Job
from ohmwright.web.bench import Bench
from ohmwright.web.child import CutOffError, in_child
from ohmwright.web.works import Work
from ohmwright.working import OhmwrightError

PAPERS, ALMANAC, MEND, ORDER, NIGHTS, YEAR = (
    "papers", "almanac", "mend", "change-order", "interview", "year",
)  # fmt: skip
MADE_YEARS = 64
LISTEN_S = 0.2


def where_of(bench: Bench, look: Look) -> str:
    """What a command would call the rig."""
    folder = bench.desk.folder(look.job)
    return f"{folder}@{look.letter}" if look.letter else folder


def out_of(bench: Bench, look: Look) -> str:
    """Where the papers of a rig lie."""
    return Job(bench.desk.folder(look.job)).papers(look.letter or None)


def work_of(bench: Bench, what: str, look: Look) -> Work[Any] | None:
    """The work of that kind for a rig, going on or done."""
    return bench.works.get(key_of(what, look))


def stop_work(bench: Bench, what: str, look: Look) -> None:
    """End it, if it goes on."""
    bench.works.stop(key_of(what, look))


def key_of(what: str, look: Look) -> str:
    """What a work is called: the years of every text are a work of their own; of anything else there is one at a time.

    The nights of the interview sheet are those of the typical year.
    """
    name = YEAR if what == NIGHTS else what
    return f"{name} {look.address}{f' {look.sha256}' if name in (ALMANAC, YEAR) else ''}"


def begin_papers(bench: Bench, look: Look, units: str = "") -> None:
    """Make the papers of the rig as it lies there."""
    _begin(bench, look, PAPERS, _papers, (where_of(bench, look), out_of(bench, look), units), units=units)


def begin_almanac(bench: Bench, look: Look) -> None:
    """Work out what one made year in ten brings, what other sizes would do, and what buys nights back."""
    _begin(bench, look, ALMANAC, _almanac, (where_of(bench, look), look.sha256))


def begin_mend(bench: Bench, look: Look) -> None:
    """Look for answers to what was found in the working file."""
    _begin(bench, look, MEND, _mend, (where_of(bench, look),))


def begin_order(bench: Bench, look: Look, old: str, new: str) -> None:
    """Make the paper of the order between two rigs of the job."""
    _begin(bench, look, ORDER, _order, (bench.desk.folder(look.job), old, new), old=old, new=new)


def year_of(bench: Bench, look: Look) -> tuple[Typical | None, Work[Any] | None]:
    """The typical year if it is at hand; else the work that runs it, begun unless somebody stopped it or it has failed."""
    made = bench.desk.typical_at_hand(look)
    if made is not None:
        return made, None
    work = work_of(bench, YEAR, look)
    if work is not None and (work.going or work.stopped or work.trouble):
        return None, work
    return None, begin_year(bench, look)


def begin_year(bench: Bench, look: Look) -> Work[Any]:
    """Run the typical year once the bench is quiet; a text that has been changed meanwhile needs none."""

    def go(work: Work[Any]) -> None:
        while look.letter or bench.desk.lies_as(look):
            work.heed("hour by hour")
            if (rest_s := bench.aside.rest_s()) > 0:
                time.sleep(min(rest_s, LISTEN_S))
            elif bench.years.now(look) is not None:
                return

    return bench.works.begin(key_of(YEAR, look), go)


def _begin(bench: Bench, look: Look, what: str, do: Callable[..., object], about: tuple[str, ...], **facts: str) -> None:  # fmt: skip
    def go(work: Work[Any]) -> object:
        with _written_down(bench, look, what, facts):
            return in_child(work, do, *about)

    bench.works.begin(key_of(what, look), go)


@contextmanager
def _written_down(bench: Bench, look: Look, what: str, facts: Mapping[str, str]) -> Iterator[None]:
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
        what = wish.get("what")
        if what == PAPERS:
            begin_papers(bench, look, wish.get("units", ""))
        elif what == ALMANAC:
            begin_almanac(bench, look)
        elif what == MEND and not letter:
            begin_mend(bench, look)
        elif what == ORDER:
            begin_order(bench, look, wish.get("old", ""), wish.get("new", ""))
        else:
            wishes.settle(folder, name)


# ------------------------------------------------------------------------------------------ in the other process


def _papers(tell: Tell, where: str, out: str, units: str) -> int:
    from ohmwright.services.papers import Look as How
    from ohmwright.services.papers import papers

    done = papers(where, out, look=How(units="us" if units == "us" else ""), heed=tell)
    return len(done.made)


def _almanac(tell: Tell, where: str, sha256: str) -> Almanac:
    from ohmwright.services.opening import open_rig

    opened = open_rig(where)
    if opened.sha256 != sha256:
        raise OhmwrightError("the working file was changed meanwhile", remedy="ask for the years again")
    return almanac_of(opened, MADE_YEARS, tell)


def _mend(tell: Tell, folder: str) -> Answers:
    from ohmwright.services.mending import answers_for

    return answers_for(folder, lambda n, about: tell(f"{n} trials; {about or 'reading'} in hand"))


def _order(tell: Tell, folder: str, old: str, new: str) -> tuple[str, ...]:
    from ohmwright.services.change_paper import write_in_job
    from ohmwright.services.changes import side_of

    return write_in_job(folder, side_of(folder, old), side_of(folder, new), tell)
