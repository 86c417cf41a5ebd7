"""Years that follow from a change, in one lasting process beside the bench: at low priority, and only while nobody changes anything."""

import multiprocessing
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock
from typing import Any, TypeVar

from ohmwright.web.child import FaultError
from ohmwright.working import OhmwrightError

A = TypeVar("A")
#: The energy year waits so long after the last change: whoever changes one thing often changes another.
QUIET_S = 1.5
NICE = 15
#: Left without work for so long, the process ends and gives its memory back.
IDLE_S = 300.0


class Aside:
    """Work that gives way to changes."""

    def __init__(self) -> None:
        self._turn = Lock()
        self._lock = Lock()
        self.stirred = 0
        """How many changes there were."""
        self._changes = 0
        self._last = -QUIET_S
        self._child: BaseProcess | None = None
        self._ours: Connection | None = None
        self._going = False

    @contextmanager
    def changing(self) -> Iterator[None]:
        """Around a change: what goes on here is ended at once, and nothing begins until a while after it."""
        with self._lock:
            self.stirred += 1
            self._changes += 1
            child = self._child
            if self._going and child is not None:
                child.kill()
        try:
            yield
        finally:
            with self._lock:
                self._changes -= 1
                self._last = time.monotonic()

    def rest_s(self) -> float:
        """How long it is, at least, until the bench counts as quiet."""
        return QUIET_S if self._changes else self._last + QUIET_S - time.monotonic()

    def answer(self, do: Callable[..., A], *about: Any) -> A | None:
        """What `do(*about)` answers in the other process; None when a change came first."""
        with self._turn:
            with self._lock:
                if self.rest_s() > 0:
                    return None
                stirred, self._going = self.stirred, True
                ours = self._begun()
            try:
                ours.send((do, about))
                kind, said = ours.recv()
            except (EOFError, OSError):
                self._end()
                if self.stirred != stirred:
                    return None
                raise FaultError("the process beside the bench has ended without an answer") from None
            finally:
                self._going = False
        if kind == "refused":
            raise OhmwrightError(said)
        if kind == "fault":
            raise FaultError(said)
        answered: A = said
        return answered

    def _begun(self) -> Connection:
        if self._child is not None and self._child.is_alive() and self._ours is not None:
            return self._ours
        self._end()
        context = multiprocessing.get_context("spawn")
        self._ours, theirs = context.Pipe()
        self._child = context.Process(target=_serve, args=(theirs,), daemon=True, name="years")
        self._child.start()
        theirs.close()
        return self._ours

    def _end(self) -> None:
        if self._child is not None:
            self._child.kill()
            self._child.join(5.0)
        if self._ours is not None:
            self._ours.close()
        self._child = self._ours = None


def _serve(theirs: Connection) -> None:
    """In the other process."""
    os.nice(NICE)
    with suppress(EOFError, ConnectionError):  # the bench is gone
        while theirs.poll(IDLE_S):
            do, about = theirs.recv()
            theirs.send(_answered(do, about))


def _answered(do: Callable[..., Any], about: tuple[Any, ...]) -> tuple[str, Any]:
    try:
        return "done", do(*about)
    except OhmwrightError as error:
        return "refused", str(error)
    except Exception:  # noqa: BLE001 - told to the bench, which writes the report
        import traceback

        return "fault", traceback.format_exc()
