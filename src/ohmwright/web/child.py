"""Long work in a process of its own: it takes no time from the sheets, and it can be ended at any moment."""

import multiprocessing
import os
from collections.abc import Callable
from multiprocessing.connection import Connection
from threading import Thread
from typing import Any, TypeVar

from ohmwright.web.works import Work
from ohmwright.working import OhmwrightError

A = TypeVar("A")
Tell = Callable[[str], None]
LOOK_S = 0.2
NICE = 5


class FaultError(Exception):
    """A fault of the program in the other process, with its trace."""


class CutOffError(Exception):
    """The other process was ended by somebody else: by the end of the bench, as a rule."""


def in_child(work: Work[Any], do: Callable[..., A], *about: Any) -> A:
    """What `do(tell, *about)` answers in a process of its own; its words are heard, and it ends with the work."""
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    child = context.Process(target=_run, args=(theirs, do, about), daemon=True)
    child.start()
    theirs.close()
    try:
        while True:
            if not ours.poll(LOOK_S):
                work.heed(work.told)
                continue
            kind, said = _received(ours)
            if kind == "told":
                work.heed(said)
            elif kind == "done":
                answer: A = said
                return answer
            elif kind == "refused":
                raise OhmwrightError(said)
            else:
                raise FaultError(said)
    finally:
        child.terminate()
        child.join(5.0)
        ours.close()


def _received(ours: Connection) -> tuple[str, Any]:
    try:
        kind, said = ours.recv()
    except EOFError:
        raise CutOffError("the work ended without an answer") from None
    return kind, said


def _end_with_the_bench() -> None:
    """A bench that is killed leaves nobody at work, who would meet the work of the next one."""
    bench = multiprocessing.parent_process()
    if bench is not None:
        bench.join()
        os._exit(1)


def _run(theirs: Connection, do: Callable[..., Any], about: tuple[Any, ...]) -> None:
    """In the other process."""
    Thread(target=_end_with_the_bench, daemon=True).start()
    os.nice(NICE)
    try:
        theirs.send(("done", do(lambda told: theirs.send(("told", told)), *about)))
    except OhmwrightError as error:
        theirs.send(("refused", str(error)))
    except BrokenPipeError:
        return  # nobody listens any more
    except Exception:  # noqa: BLE001 - told to the bench, which writes the report
        import traceback

        theirs.send(("fault", traceback.format_exc()))
