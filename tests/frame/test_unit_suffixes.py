"""Every plain float of physics says its unit in its name, so that a wrong call looks wrong."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from ohmwright.working import suffix_unit

PHYSICS = Path(__file__).parents[2] / "src" / "ohmwright" / "physics"
FLOATS = {"float", "float | None"}


def _is_float(annotation: ast.expr | None) -> bool:
    return annotation is not None and ast.unparse(annotation).strip("'\"") in FLOATS


def _public(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from _public(node.body)
        elif isinstance(node, ast.AnnAssign):
            yield node


def nameless(source: str, name: str) -> Iterator[str]:
    """`file:line: name` for each public float whose name carries no unit that the program knows."""
    for node in _public(ast.parse(source).body):
        wanted: list[tuple[int, str]] = []
        if isinstance(node, ast.FunctionDef):
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            wanted += [(a.lineno, a.arg) for a in arguments if _is_float(a.annotation)]
            if _is_float(node.returns):
                wanted.append((node.lineno, node.name))
        elif (
            isinstance(node, ast.AnnAssign)
            and _is_float(node.annotation)
            and isinstance(node.target, ast.Name)
        ) and not node.target.id.startswith("_"):
            wanted.append((node.lineno, node.target.id))
        for line, word in wanted:
            if suffix_unit(word) is None:
                yield f"{name}:{line}: {word}"


@pytest.mark.parametrize(
    ("sin", "word"),
    [
        ("def drop_V(current: float, length_m: float) -> float: ...", "current"),
        ("def drop(current_A: float) -> float: ...", "drop"),
        ("def drop_V(*, worst: float) -> float: ...", "worst"),
        ("def drop_V(worst: float | None = None) -> float: ...", "worst"),
        ("class Cell:\n    volts: float\n", "volts"),
        ("class Cell:\n    def warm(self, by: float) -> None: ...\n", "by"),
        ("def drop_volts(current_A: float) -> float: ...", "drop_volts"),
        ("BOLTZMANN: float = 8.6e-5", "BOLTZMANN"),
    ],
)
def test_a_float_without_a_unit_is_found(sin: str, word: str) -> None:
    assert [found.rsplit(" ", 1)[-1] for found in nameless(sin, "planted.py")] == [word]


@pytest.mark.parametrize(
    "fine",
    [
        "def drop_V(current_A: float, length_m: float, strings_count: float) -> float: ...",
        "def _helper(x: float) -> float: ...",
        "def derating_factor(area_mm2: float, count: int) -> float: ...",
        "def is_frozen(cell_degC: float) -> bool: ...",
    ],
)
def test_a_float_with_a_unit_is_left_alone(fine: str) -> None:
    assert not list(nameless(fine, "planted.py"))


def test_every_public_float_of_physics_says_its_unit() -> None:
    found = [w for path in sorted(PHYSICS.rglob("*.py")) for w in nameless(path.read_text(), path.name)]

    assert not found, "\n".join(found)
