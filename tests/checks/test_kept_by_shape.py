"""What is kept of one rig for the next by its shape, or by what it looks at: every finding is the one that the rig has alone."""

import random
import re

import pytest
from tests.circuit.rigs import NAMES, demo

from ohmwright.checks import engine
from ohmwright.checks.types import Finding
from ohmwright.circuit import ac, skeleton
from ohmwright.circuit.types import Fault
from ohmwright.rig.model import Rig
from ohmwright.rig.read import read_rig
from ohmwright.services import demos
from ohmwright.shelf.load import Shelf
from ohmwright.study import Study
from ohmwright.working import OhmwrightError

RUN = re.compile(r"^  \S+: +\{from: ", re.MULTILINE)
LENGTH = re.compile(r"length: ([\d.]+) m\b")
PART = re.compile(r"^(  [A-Z]\w*: +\{is: [a-z][\w.-]*)(?=[,}])", re.MULTILINE)
WORSE = ("", ", resistance: 0.7 mohm", ", rated: 35 A", ", short_circuit_current: 2 kA", ", curve: d")


def shelf_of(name: str) -> Shelf:
    """The parts of a demo's own job beside the shelf that ships."""
    files = demos.files_of(name).items()
    return Shelf(
        job={f.removeprefix("shelf/"): t.decode() for f, t in files if re.fullmatch(r"shelf/.*\.yaml", f)}
    )


def asked(rig: Rig) -> tuple[tuple[Finding, ...], dict[str, Fault], object]:
    study = Study(rig)
    return (
        engine.run(study),
        dict(study.faults),
        (study.earth_faults, study.earth_clearing, study.neutral_clearing),
    )


def edited(text: str, chance: random.Random) -> str:
    """Some lengths changed, a figure written beside a part, now and then a run gone."""
    text = LENGTH.sub(lambda m: f"length: {float(m[1]) * chance.choice((1, 1, 1, 0.5, 3)):.2f} m", text)
    parts = list(PART.finditer(text))
    at = chance.choice(parts)
    text = text[: at.end()] + chance.choice(WORSE) + text[at.end() :]
    if chance.random() < 0.3:
        lines = text.split("\n")
        runs = [k for k, line in enumerate(lines) if RUN.match(line) and line.endswith("}")]
        del lines[chance.choice(runs)]
        text = "\n".join(lines)
    return text


def some(name: str, how_many: int) -> list[Rig]:
    """A demo rig and edits of it that can be read."""
    chance = random.Random(11)
    plain = demo(name)[0]
    found = [plain]
    while len(found) < how_many:
        try:
            found.append(read_rig(edited(plain.text, chance), plain.file, shelf_of(name)))
        except OhmwrightError:
            continue
    return found


def forget() -> None:
    skeleton.forget()
    ac.forget()


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_findings_do_not_depend_on_the_rigs_looked_at_before(name: str) -> None:
    rigs = some(name, 5)
    alone = []
    for rig in rigs:
        forget()
        alone.append(asked(rig))

    order = list(range(len(rigs))) * 2
    random.Random(3).shuffle(order)
    for k in order:
        again = read_rig(rigs[k].text, rigs[k].file, shelf_of(name))
        assert asked(again) == alone[k]
