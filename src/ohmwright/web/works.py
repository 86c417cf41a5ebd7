"""Long work beside the pages: started once, told while it goes on, ended on request, found again after a reload."""

import time
from collections.abc import Callable
from threading import Event, Lock, Thread
from typing import Generic, TypeVar

from ohmwright.services.reports import bug_report
from ohmwright.working import OhmwrightError

T = TypeVar("T")


class StoppedError(Exception):
    """Whoever asked for the work has ended it."""


class Work(Generic[T]):
    """One piece of long work in a thread of its own."""

    def __init__(self, name: str, do: Callable[["Work[T]"], T]) -> None:
        self.name = name
        self.told = "beginning"
        self.result: T | None = None
        self.trouble = ""
        self.stopped = False
        self.began = time.monotonic()
        self.seconds = 0.0
        self._stop = Event()
        self._thread = Thread(target=self._run, args=(do,), daemon=True, name=name)
        self._thread.start()

    @property
    def going(self) -> bool:
        """Whether it still goes on."""
        return self._thread.is_alive()

    @property
    def so_far_s(self) -> float:
        """How long it has been at it."""
        return self.seconds or time.monotonic() - self.began

    def heed(self, told: str) -> None:
        """Called by the work itself: what it is at; raises when it has been ended."""
        self.told = told
        if self._stop.is_set():
            raise StoppedError

    def stop(self) -> None:
        """End it at its next step."""
        self._stop.set()

    def wait(self, seconds: float) -> None:
        """Wait for its end, at most so long."""
        self._thread.join(seconds)

    def _run(self, do: Callable[["Work[T]"], T]) -> None:
        try:
            self.result = do(self)
        except StoppedError:
            self.stopped = True
        except OhmwrightError as error:
            self.trouble = str(error)
        except Exception as bug:  # noqa: BLE001 - a bug becomes a report and a line on the sheet
            self.trouble = f"a fault of the program, not of your file; the report lies in {bug_report(['bench', self.name], bug)}"
        finally:
            self.seconds = time.monotonic() - self.began


class Works(Generic[T]):
    """The last work for each key."""

    def __init__(self, most: int = 12) -> None:
        self._most = most
        self._lock = Lock()
        self._kept: dict[str, Work[T]] = {}

    def get(self, key: str) -> Work[T] | None:
        """The work of that key, going on or done."""
        with self._lock:
            return self._kept.get(key)

    def stop(self, key: str) -> None:
        """End the work of that key, if it goes on."""
        work = self.get(key)
        if work is not None:
            work.stop()
            work.wait(5.0)

    def begin(self, key: str, do: Callable[[Work[T]], T]) -> Work[T]:
        """The work of that key: the one that goes on, else a new one."""
        with self._lock:
            old = self._kept.get(key)
            if old is not None and old.going:
                return old
            work = self._kept[key] = Work(key, do)
            for name in [k for k, w in self._kept.items() if not w.going and k != key]:
                if len(self._kept) > self._most:
                    del self._kept[name]
            return work
