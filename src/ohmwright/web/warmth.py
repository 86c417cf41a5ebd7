"""What a bench makes ready in the background, so that no sheet waits for it: compiled networks, studies, drawings."""

import gc
import time
from contextlib import suppress
from importlib import import_module
from queue import Empty, Queue
from threading import Thread

from ohmwright.services.desk import Desk, Look
from ohmwright.services.reports import bug_report
from ohmwright.web.bench import Bench
from ohmwright.web.child import FaultError
from ohmwright.web.counts import counted, unread
from ohmwright.web.wanted import go_on
from ohmwright.working import OhmwrightError

SHEETS = ("edits", "circuit", "check", "job", "beat", "almanac", "why")
PATIENCE_S = 2.0
#: So many jobs, the newest, are kept ready to be opened; of all others the register's figures alone.
MOST_WARM = 12
BREATH_S = 0.2
#: Everything is looked through when the bench was quiet for so long.
REST_S = 20.0


class Warmth:
    """A thread that looks at jobs before anybody asks for them."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._asked: set[str] = set()
        self._counted_only: set[str] = set()
        self._tidied = 0
        self._run_for: dict[str, tuple[object, ...]] = {}
        self._jobs: Queue[str] = Queue()
        self._thread = Thread(target=self._run, daemon=True, name="warmth")

    def begin(self) -> None:
        """Start with every job of the folder."""
        self._thread.start()

    def ask(self, job: str) -> None:
        """Look at a job soon; a job that could not be looked at is not tried again by itself."""
        if job not in self._asked:
            self._asked.add(job)
            self._jobs.put(job)

    def gave_up(self, job: str) -> bool:
        """Whether the job has been tried."""
        return job in self._asked and self._jobs.empty()

    def _run(self) -> None:
        try:
            _prepare()
            for nth, job in enumerate(self._bench.desk.newest()):
                if nth >= MOST_WARM:
                    self._counted_only.add(job)
                self.ask(job)
                go_on(self._bench, job)
            while True:
                self._serve()
        except Exception as bug:  # noqa: BLE001 - the bench works cold too
            bug_report(["bench", "warmth"], bug)

    def _serve(self) -> None:
        try:
            job = self._jobs.get(timeout=PATIENCE_S)
        except Empty:
            self._tidy()
            self._run_years()
            return
        bench, many = self._bench, job in self._counted_only
        while many and bench.aside.rest_s() > 0:
            time.sleep(BREATH_S)
        try:
            lies = bench.desk.lies(job)
            # Beyond the newest jobs a study is thrown away again, so that it drives none of those off that somebody works on.
            try:
                look = (Desk(str(bench.desk.base)) if many else bench.desk).look(job)
            except OhmwrightError as error:
                bench.counts.note(job, lies, unread(job, str(error)))
            else:
                bench.counts.note(job, lies, counted(look))
                if not many:
                    bench.circuits(look)
        except OhmwrightError:
            return  # the job was taken away meanwhile
        if self._jobs.empty():
            settle()

    def _tidy(self) -> None:
        """Once nobody has changed anything for a while."""
        changes = self._bench.aside.stirred
        if changes != self._tidied and self._bench.aside.rest_s() < -REST_S:
            self._tidied = changes
            settle()

    def _run_years(self) -> None:
        """While nobody changes anything: the typical years of the jobs that are kept ready."""
        desk = self._bench.desk
        for job in desk.newest()[:MOST_WARM]:
            if self._bench.aside.rest_s() > 0:
                return
            with suppress(OhmwrightError):  # it was taken away meanwhile, or cannot be read
                lies = desk.lies(job)
                if self._run_for.get(job) != lies and desk.at_hand(job) and self._is_run(desk.look(job)):
                    self._run_for[job] = lies

    def _is_run(self, look: Look) -> bool:
        """Whether its year is at hand now, or there is none: what is amiss is told to whoever opens the almanac."""
        try:
            return not look.rig.use.stays or self._bench.years.now(look) is not None
        except (OhmwrightError, FaultError):
            return True


def _prepare() -> None:
    """Import what every edit needs, and compile networks and the search for ways or take what was compiled before."""
    from ohmwright.circuit import fast
    from ohmwright.drawing import compiled
    from ohmwright.services.year import kernel_folder

    for sheet in SHEETS:
        import_module(f"ohmwright.web.{sheet}")
    fast.prepare(kernel_folder())
    compiled.prepare(kernel_folder())


def settle() -> None:
    """Let the collector of garbage run by itself hardly ever: the studies at hand are many objects that live long.

    It would trace them in the middle of a change (88 ms of it, one change in ten, measured on the trailer).  What a change
    leaves behind is looked through after its answer (`sweep`), and everything now and then while nobody works.
    """
    gc.unfreeze()
    gc.collect()
    gc.freeze()
    gc.set_threshold(1_000_000, 50, 100)


def sweep() -> None:
    """Look through what the last change has made."""
    gc.collect(0)
