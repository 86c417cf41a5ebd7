"""What busbars and earth bars have in common: studs on one piece of metal."""

from collections.abc import Callable
from typing import Literal

from ohmwright.kinds.base import Inner, Inside, Port, Words, WordSpec
from ohmwright.kinds.shape import number_of, said


def bar_words(studs: str) -> dict[str, WordSpec]:
    """The words of a bar."""
    return {
        "stud_count": WordSpec("number of studs", (), studs),
        "stud_takes": WordSpec("most lugs on one stud", ("1", "2", "3", "4"), "4"),
    }


def bar(role: Literal["stud", "earth"]) -> Callable[[Words], Inside]:
    """The inside of a bar: a stud a port, each joined to the next."""
    words_of = bar_words("6")

    def inside(words: Words) -> Inside:
        n = number_of(words, words_of, "stud_count", 60)
        takes = int(said(words, words_of, "stud_takes"))
        ports = tuple(Port(str(i), ("",), role, takes=takes, may_stay_free=True) for i in range(1, n + 1))
        inner = tuple(
            Inner(f"metal-{i}", "conductor", str(i), str(i + 1), "bar", "resistance") for i in range(1, n)
        )
        return Inside(ports, inner)

    return inside
