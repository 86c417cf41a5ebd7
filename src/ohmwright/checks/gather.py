"""Gathering figures: what may be used for a verdict, and the addresses of what is missing."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import TypeVar

from ohmwright.rig.model import Part, Rig
from ohmwright.study import Study
from ohmwright.working import Absent, Figure, Given, NotThere
from ohmwright.working.quickly import quickly_made


@quickly_made
@dataclass(frozen=True, slots=True)
class Asked:
    """A figure that may be used, or the addresses that would give it."""

    figure: Figure | None
    missing: tuple[str, ...] = ()
    not_there: bool = False


def asked(given: Given) -> Asked:
    """For a danger: a class default never counts."""
    if isinstance(given, Figure):
        return Asked(given) if given.origin.kind != "class" else Asked(None, (given.address,))
    return Asked(None, (given.address,) if given.address else (), isinstance(given, NotThere))


def first_of(part: Part, *names: str) -> Asked:
    """The first of several figures that is given; when none is, the first is the one that is missing."""
    tries = [asked(part.figure(name)) for name in names]
    return next((a for a in tries if a.figure is not None), tries[0])


def setting(rig: Rig, part: str, key: str, unit: str) -> Asked:
    """A setting as a figure in `unit`."""
    given: Given | str = rig.setting(part, key)
    if isinstance(given, Figure) and given.unit == unit:
        return Asked(given if given.address else given.at(f"settings.{part}.{key}"))
    return Asked(None, (f"settings.{part}.{key}",), isinstance(given, NotThere))


def mass(rig: Rig, key: str) -> Asked:
    """A mass or length of the host."""
    given: Given = rig.host.masses.get(key, Absent())
    address = f"host.masses.{key}"
    if isinstance(given, Figure):
        return Asked(given if given.address else given.at(address))
    return Asked(None, (address,), isinstance(given, NotThere))


def word(part: Part, name: str) -> str:
    """A word of the part, whichever way its name is joined."""
    return (
        part.word(name)
        or part.words.get(name.replace("_", "-"), "")
        or part.record.words.get(name.replace("_", "-"), "")
    )


T = TypeVar("T")


def once(function: Callable[[Study], T]) -> Callable[[Study], T]:
    """Keep what a function says of a study for as long as the study lives: with the study, where its own results lie too."""
    name = f"{function.__module__}.{function.__qualname__}"

    @wraps(function)
    def asked_once(study: Study) -> T:
        kept: dict[str, T] = study.__dict__
        if name not in kept:
            kept[name] = function(study)
        return kept[name]

    return asked_once
