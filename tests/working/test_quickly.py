"""Records that are filled open and then closed behave as the frozen dataclasses they are."""

import copy
import pickle
from dataclasses import FrozenInstanceError, dataclass, field, fields, replace

import pytest

from ohmwright.working import Figure, Step, figure, work
from ohmwright.working.quickly import quickly_made


@quickly_made
@dataclass(frozen=True, slots=True)
class Point:
    """A point with a name."""

    x: float
    y: float = 0.0
    names: list[str] = field(default_factory=list, compare=False)
    kept: str = field(default="", kw_only=True)


def test_a_record_cannot_be_changed_once_it_is_made() -> None:
    with pytest.raises(FrozenInstanceError):
        Point(1.0).x = 2.0  # type: ignore[misc]


def test_it_is_told_apart_hashed_and_shown_by_its_fields() -> None:
    assert Point(1.0, 2.0) == Point(1.0, y=2.0) != Point(1.0)
    assert hash(Point(1.0, names=["a"])) == hash(Point(1.0, names=["b"]))
    assert repr(Point(1.0, kept="k")) == "Point(x=1.0, y=0.0, names=[], kept='k')"


def test_each_record_has_its_own_list() -> None:
    assert Point(1.0).names is not Point(1.0).names


def test_a_missing_or_unknown_field_is_a_mistake() -> None:
    with pytest.raises(TypeError):
        Point()  # type: ignore[call-arg]
    with pytest.raises(TypeError):
        Point(1.0, z=2.0)  # type: ignore[call-arg]


def test_it_is_copied_replaced_and_pickled_whole() -> None:
    one = figure(3.0, "A", address="F1.rated")

    assert copy.deepcopy(one) == pickle.loads(pickle.dumps(one)) == replace(one, text="") == one
    assert replace(one, value=4.0).value == 4.0
    assert [f.name for f in fields(Figure)][:2] == ["value", "unit"]


def test_a_step_puts_its_numbers_in_when_it_is_asked() -> None:
    from ohmwright.physics.fault import fault_A

    step: Step = work(fault_A, open_V=figure(14.4, "V"), loop_ohm=figure(0.003, "ohm"))

    assert step.substituted == "14.4 / 0.003"
