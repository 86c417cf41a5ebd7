"""Below services nobody opens a file or asks what time it is, and no chance goes without its seed.

The import contracts stop modules; this stops the doors that need no import, or that hide in an allowed one.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2] / "src" / "ohmwright"
MAY_REACH_OUT = {"cli", "web", "services", "store", "listening"}

BARE = {"open", "input", "breakpoint", "eval", "exec", "compile", "__import__"}
CLOCKS = {"now", "utcnow", "today"}
FILES_OF_NUMPY = {"fromfile", "tofile", "memmap", "loadtxt", "savetxt", "genfromtxt"}

#: The formula text of a work sheet is evaluated in one place, on a tree of allowed nodes.  How a record is made is written out of
#: the names of its fields, as `dataclass` writes it out; nothing of a file gets there.
ALLOWED = {("working/step.py", "eval"), ("working/step.py", "compile"), ("working/quickly.py", "exec")}


def doors(source: str, name: str) -> Iterator[str]:
    """`file:line: what` for every door in a source text."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        called = ast.unparse(node.func)
        last = called.rsplit(".", 1)[-1]
        if isinstance(node.func, ast.Name):
            found = called in BARE and (name, called) not in ALLOWED
        else:
            found = (
                (last in CLOCKS and not node.args and not node.keywords)
                or (last in CLOCKS and "date" in called.lower())
                or called in ("io.open", "codecs.open", "builtins.open")
                or last in FILES_OF_NUMPY
            )
        unseeded = last in ("default_rng", "SeedSequence") and not node.args and not node.keywords
        if found or unseeded:
            yield f"{name}:{node.lineno}: {called}()"


@pytest.mark.parametrize(
    "sin",
    [
        "open('rig.yaml')",
        "with open(name, 'rb') as f: pass",
        "import io\nio.open('rig.yaml')",
        "from datetime import datetime\ndatetime.now()",
        "import datetime\ndatetime.datetime.now(datetime.UTC)",
        "from datetime import date\ndate.today()",
        "import numpy as np\nnp.random.default_rng()",
        "import numpy as np\nnp.fromfile('table.bin')",
        "eval('1 + 1')",
        "def f():\n    return [open(n) for n in ()]",
    ],
)
def test_a_planted_door_is_found(sin: str) -> None:
    assert list(doors(sin, "planted.py"))


@pytest.mark.parametrize(
    "fine",
    [
        "packaged('ohmwright.standards', 'facts.yaml')",
        "import numpy as np\nnp.random.default_rng(seed)",
        "switch.open()",
        "import re\nre.compile('a')",
        "from datetime import date\ndate.fromisoformat('2026-01-01')",
    ],
)
def test_an_honest_call_is_left_alone(fine: str) -> None:
    assert not list(doors(fine, "planted.py"))


def test_no_floor_below_services_opens_a_door() -> None:
    below = [p for p in sorted(HOUSE.rglob("*.py")) if p.relative_to(HOUSE).parts[0] not in MAY_REACH_OUT]
    found = [door for path in below for door in doors(path.read_text(), path.relative_to(HOUSE).as_posix())]

    assert len(below) > 10
    assert not found, "\n".join(found)
