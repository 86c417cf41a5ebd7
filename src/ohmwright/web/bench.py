"""What every page of a bench is made with: the desk, the templates, the token of its forms, the drawings at hand."""

import secrets
import time
from collections import OrderedDict
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from threading import Lock
from typing import TYPE_CHECKING, Any

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from ohmwright.services.desk import Desk, Look
from ohmwright.services.reports import bug_report
from ohmwright.services.words import tag_word
from ohmwright.web.aside import Aside
from ohmwright.web.counts import Counts
from ohmwright.web.packed import stamp
from ohmwright.web.render import environment, in_us_units, path
from ohmwright.web.works import Works
from ohmwright.web.years import Years
from ohmwright.working import OhmwrightError

if TYPE_CHECKING:
    from ohmwright.services.sheets import Circuits
    from ohmwright.web.orders import Orders
    from ohmwright.web.warmth import Warmth

SHEETS = (
    ("job", "Job"),
    ("one-line", "One-line"),
    ("check", "Check"),
    ("mend", "Mend"),
    ("interview", "Interview"),
    ("places", "Places"),
    ("settings", "Settings"),
    ("roof", "Roof"),
    ("almanac", "Almanac"),
    ("change-order", "Change order"),
    ("papers", "Papers"),
)
MOST_DRAWINGS = 12
MOST_SCHEDULES = 24
#: A drawing that took longer comes in the second beat of a change.
AT_ONCE_S = 0.08


@dataclass(frozen=True, slots=True)
class Numbered:
    """A sheet of a job in the ruled line of names."""

    number: int
    name: str
    title: str
    href: str
    here: bool


def _drawn(look: Look, before: "Circuits | None") -> "Circuits":
    """The sheets; when the drawing room itself is at fault, the notes alone, and where the report lies."""
    from ohmwright.services.sheets import Circuits, Note, circuits, open_findings

    try:
        return circuits(look, previous=before.kept if before is not None else None)
    except OhmwrightError:
        raise
    except Exception as bug:  # noqa: BLE001 - a sheet that cannot be drawn must not hide what the check found
        report = bug_report(["bench", look.address], bug)
        notes = tuple(
            Note(str(n), "", "", tag_word(f.verdict, f.severity), f)
            for n, f in enumerate(open_findings(look), 1)
        )
        return Circuits(
            (),
            notes,
            f"The sheet could not be drawn: a fault of the program, not of your file. The report lies in {report}",
        )


def units_of(request: Request, look: Look | None) -> str:
    """What the reader chose, else what the job says: "us" or "metric"."""
    chosen = request.cookies.get("units", "")
    if chosen in ("us", "metric"):
        return chosen
    return "us" if look is not None and look.rig.job.units == "us" else "metric"


class Bench:
    """One folder of jobs, open in a browser."""

    def __init__(self, folder: str, token: str = "") -> None:
        self.desk = Desk(folder)
        self.token = token or secrets.token_urlsafe(24)
        self.stamp = stamp()
        self.env = environment()
        self.works: Works[Any] = Works(most=24)
        self.aside = Aside()
        self.desk.changing = self.aside.changing
        self.counts = Counts(self.desk)
        self.years = Years(self.desk, self.aside)
        self.warmth: Warmth | None = None
        self._drawings: OrderedDict[str, Circuits] = OrderedDict()
        self._drawing_s = 1.0
        self._counting_s = 0.0
        self._schedules: OrderedDict[str, tuple[Any, ...]] = OrderedDict()
        self._lock = Lock()

    @cached_property
    def orders(self) -> "Orders":
        """The change orders that were worked out last."""
        from ohmwright.web.orders import Orders

        return Orders()

    def circuits(self, look: Look, before: "Circuits | None" = None) -> "Circuits":
        """The circuit sheets of a rig, kept by the hash of its text; drawn on the lines of `before` where only figures changed."""
        key = f"{look.address} {look.sha256}"
        with self._lock:
            kept = self._drawings.get(key)
        if kept is None:
            began = time.thread_time()
            kept = _drawn(look, before)
            with self._lock:
                self._drawing_s = time.thread_time() - began
                self._drawings[key] = kept
                while len(self._drawings) > MOST_DRAWINGS:
                    self._drawings.popitem(last=False)
        return kept

    @property
    def draws_at_once(self) -> bool:
        """Whether the last drawing was quick enough for the first beat of a change."""
        return self._drawing_s < AT_ONCE_S

    @property
    def counts_at_once(self) -> bool:
        """Whether what has to be bought and cut was told quickly enough the last time to be told in this process."""
        return self._counting_s < AT_ONCE_S

    @contextmanager
    def timed_counting(self) -> Iterator[None]:
        """Around telling what has to be bought and cut."""
        began = time.thread_time()
        yield
        self._counting_s = time.thread_time() - began

    def drawn(self, look: Look) -> "Circuits | None":
        """The circuit sheets, if they are at hand."""
        with self._lock:
            return self._drawings.get(f"{look.address} {look.sha256}")

    def page(self, request: Request, template: str, status: int = 200, /, **values: Any) -> Response:
        """A whole page."""
        return HTMLResponse(self.text(request, template, **values), status)

    def schedule(self, name: str) -> tuple[Any, ...]:
        """Which schedule with which row open was sent under a name, and its rows; nothing where that is long ago."""
        with self._lock:
            return self._schedules.get(name, ())

    def name_schedule(self, name: str, *what: Any) -> None:
        """Keep what is sent of a schedule, so that the next change need not send all of it."""
        with self._lock:
            self._schedules[name] = what
            while len(self._schedules) > MOST_SCHEDULES:
                self._schedules.popitem(last=False)

    def text(self, request: Request, template: str, **values: Any) -> Markup:
        """A page or a piece of one."""
        if "rows_of" in values:
            self.name_schedule(values["rows_of"], values["which"], values["owner"], values["rows"])
        units = units_of(request, values.get("look"))
        light = request.cookies.get("light", "")
        common: Mapping[str, Any] = {
            "token": self.token,
            "stamp": self.stamp,
            "units": units,
            "light": light if light in ("paper", "night") else "",
            "here": request.url.path + (f"?{request.url.query}" if request.url.query else ""),
            "look": None,
            "sheets": (),
            "alone": self.desk.alone,
            "oob": False,
            "beat": False,
        }
        text = self.env.get_template(template).render({**common, **values})
        return Markup(in_us_units(text) if units == "us" else text)

    def sheet(
        self, request: Request, look: Look, name: str, status: int = 200, of: str = "", /, **values: Any
    ) -> Response:
        """A numbered sheet of a job, or a page that belongs to the sheet `of`."""
        return self.page(request, f"{name}.html", status, **self.around(look, of or name), **values)

    def around(self, look: Look, name: str) -> dict[str, Any]:
        """What stands around every sheet of a job: names, title block, what can be undone."""
        sheets = [
            Numbered(n, key, title, path("jobs", look.address, key), key == name)
            for n, (key, title) in enumerate(SHEETS, 1)
        ]
        back, on = self.desk.steps(look.job) if not look.letter else (0, 0)
        return {
            "look": look,
            "rig": look.rig,
            "sheets": sheets,
            "sheet": next(s for s in sheets if s.here),
            "back": back,
            "on": on,
            "fixed": bool(look.letter),
        }
