"""What is kept of one rig for the next by its shape, or by what it looks at: every finding is the one that the rig has alone."""

import random
import re

import pytest
from tests.circuit.rigs import NAMES, SPLIT, demo

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


STIFF = SPLIT.replace(
    "SUP: {is: supply-post-30a-120v,", "SUP: {is: supply-post-30a-120v, short_circuit_current: 1 kA,"
)


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("C1: {from: SUP, to: J1, cable: flexible 3 x 10 AWG, length: 10 m", "C1: {from: SUP, to: J1, cable: flexible 3 x 10 AWG, length: 30 m"),
        ("short_circuit_current: 1 kA", "short_circuit_current: 3 kA"),
        ("length: 2 m}\n  W6", "length: unknown}\n  W6"),
    ],
)  # fmt: skip
def test_faults_of_alternating_current_follow_what_they_look_at(was: str, now: str) -> None:
    assert STIFF.count(was) == 1
    before, after = (read_rig(t, "rig.yaml", Shelf()) for t in (STIFF, STIFF.replace(was, now)))
    forget()
    alone = dict(Study(after).ac_faults)
    forget()
    plain = dict(Study(before).ac_faults)
    assert dict(Study(after).ac_faults) == alone != plain
    assert dict(Study(before).ac_faults) == plain


def test_clearing_of_alternating_current_follows_the_devices() -> None:
    texts = (
        STIFF,
        STIFF.replace("U2: {is: inverter-charger-split-6kva-48v-120v-240v,", "U2: {is: inverter-charger-split-6kva-48v-120v-240v, fault-stop: 0.2 s,"),
        STIFF.replace("PA: {is: panel-ac-split-50a,", "PA: {is: panel-ac-split-50a, curve: c,"),
    )  # fmt: skip
    rigs = [read_rig(t, "rig.yaml", Shelf()) for t in texts]
    alone = []
    for rig in rigs:
        forget()
        alone.append(dict(Study(rig).neutral_clearing))
    assert [dict(Study(rig).neutral_clearing) for rig in (*rigs, *rigs)] == alone * 2
    assert alone[0] != alone[1]
    assert alone[0] != alone[2]
