"""Every topology proof is spoken by a rule, and none passes where it has shown nothing."""

from collections.abc import Iterator, Mapping
from functools import cache

import pytest
from tests.checks.test_on_rigs import RIGS, study_of
from tests.circuit.rigs import demo
from tests.circuit.test_mutants import CASES as MUTATED
from tests.circuit.test_mutants import MUTANTS

from ohmwright.checks import engine
from ohmwright.checks.registry import rules
from ohmwright.circuit.proofs import PROOFS
from ohmwright.circuit.types import Proof
from ohmwright.study import Study

DEMOS = ("built", "quoted", "boat", "cabin", "van")
#: They read a proof beside figures and claims of their own, and judge those too.
BESIDE = {"B17", "B26", "C25", "F7", "F13"}


class Listening(Mapping[str, Proof]):
    """Proofs that remember who asked for them; `empty` ones have no subject at all."""

    def __init__(self, real: Mapping[str, Proof], *, empty: bool = False) -> None:
        self.real, self.empty, self.asked = real, empty, set[str]()

    def __getitem__(self, name: str) -> Proof:
        self.asked.add(name)
        return Proof(name, 0) if self.empty else self.real[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.real)

    def __len__(self) -> int:
        return len(self.real)


def listening(rig: str, *, empty: bool = False) -> tuple[Study, Listening]:
    """A study of its own whose proofs are listened to."""
    sound = study_of(rig)
    study = Study(sound.rig, today=sound.today)
    proofs = Listening(sound.proofs, empty=empty)
    study.__dict__["proofs"] = proofs
    return study, proofs


@pytest.fixture(scope="module")
def readers() -> dict[str, set[str]]:
    """By proof: the numbers of the rules that read it, on any of the demo rigs, under any rule set."""
    found: dict[str, set[str]] = {name: set() for name in PROOFS}
    for rig in DEMOS:
        study, proofs = listening(rig)
        for made in rules().values():
            proofs.asked.clear()
            list(made.check(study))
            for name in proofs.asked:
                found[name].add(made.number)
    return found


@pytest.mark.parametrize("name", list(PROOFS))
def test_a_proof_is_spoken_by_a_rule_in_every_rule_set(name: str, readers: dict[str, set[str]]) -> None:
    by_number = {r.number: r for r in rules().values()}
    spoken_in = {s for number in readers[name] for s in by_number[number].sets}

    assert readers[name]
    assert spoken_in >= {"us-vehicle", "us-boat", "us-cabin", "eu-vehicle", "eu-boat", "eu-cabin"} or name == "frame-return"  # a cabin has no frame to return by  # fmt: skip


@pytest.mark.parametrize("rig", DEMOS)
def test_a_rule_that_reads_an_empty_proof_skips_with_a_reason(rig: str, readers: dict[str, set[str]]) -> None:
    study, _ = listening(rig, empty=True)
    numbers = set().union(*readers.values()) - BESIDE
    said = [f for f in engine.run(study, numbers) if f.number in numbers]

    assert {f.verdict for f in said} == {"skip"}, [(f.number, f.subject) for f in said if f.verdict != "skip"]
    assert all(len(f.message) > 8 and f.message.endswith(".") for f in said)


@pytest.mark.parametrize("rig", sorted(RIGS))
def test_a_proof_without_a_subject_is_no_pass_on_any_rig(rig: str, readers: dict[str, set[str]]) -> None:
    study = study_of(rig)
    for name in PROOFS:
        proof = study.proofs[name]
        alone = {n for n in readers[name] if sum(n in r for r in readers.values()) == 1} - BESIDE
        if not proof.subjects and proof.holds and alone:
            assert {f.verdict for f in engine.run(study, alone)} <= {"skip"}, name


@cache
def shipped(demo_name: str, proof_rules: frozenset[str]) -> frozenset[tuple[str, str, str]]:
    """What the rules of a proof find on a demo as it is shipped."""
    rig, _ = demo(demo_name)
    return bad(Study(rig, today="2026-06-01"), proof_rules)


def bad(study: Study, numbers: frozenset[str]) -> frozenset[tuple[str, str, str]]:
    """Number, subject and message of what is not in order."""
    by_number = {r.number: r for r in rules().values()}
    said = [f for n in sorted(numbers) for f in by_number[n].check(study)]
    return frozenset((f.number, f.subject, f.message) for f in said if f.verdict in ("fail", "warn", "cannot-tell"))  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("proof", "name", "one"), MUTATED)
def test_a_rig_with_one_thing_moved_is_told_by_a_rule(
    proof: str, name: str, one: str, readers: dict[str, set[str]]
) -> None:
    rig, _ = MUTANTS[proof][name][one]()
    numbers = frozenset(readers[proof])
    before = shipped(name, numbers) if name in ("trailer", "boat", "cabin", "van") else frozenset()

    assert bad(Study(rig, today="2026-06-01"), numbers) - before
