"""What rules find of the shape of a rig alone: which terminals conduct to which, whatever its figures say."""

from collections.abc import Callable, Hashable
from typing import TypeVar, cast

from ohmwright.circuit.wiring import wiring_of
from ohmwright.study import Study

T = TypeVar("T")


def of_shape(study: Study, key: Hashable, find: Callable[[], T]) -> T:
    """What `find` says, kept with the skeleton by `key`: a rig that differs in figures only finds it again.

    `find` may look at terminals, elements without their ohms, and kinds; at no figure.  Docs: decision 0030.
    """
    kept: dict[Hashable, object] = wiring_of(study.rig, study.graph).skeleton.kept.setdefault("rules", {})
    if key not in kept:
        kept[key] = find()
    return cast(T, kept[key])
