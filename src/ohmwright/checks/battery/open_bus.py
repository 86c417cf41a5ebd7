"""B26: when the battery opens itself, what charges it is left on an open bus."""

from collections.abc import Iterator
from dataclasses import replace

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import word
from ohmwright.checks.judgement import Judgement, cannot_tell, fails, passes
from ohmwright.checks.proved import from_proof, told
from ohmwright.checks.registry import rule
from ohmwright.checks.sets import host
from ohmwright.checks.types import Severity
from ohmwright.circuit.types import ProofFinding
from ohmwright.rig.model import Part
from ohmwright.standards import Clause
from ohmwright.study import Study

REMEDY = "Stop the charger before the battery opens (charge bus), clamp the bus, or give the alternator a path to the start battery."


def judge(message: str, *, boat: bool, alternator: bool, path: tuple[str, ...] = ()) -> Judgement:
    """A danger on boats and wherever an alternator is left without its battery; elsewhere a failure."""
    return fails(message, REMEDY, severity="danger" if boat or alternator else "fails", path=path)


@rule(
    "battery/open-bus",
    "B26",
    "Chargers survive a battery that opens",
    why="""A battery that protects itself by opening leaves its chargers pushing into nothing. An alternator answers with tens
        of volts for half a second, and every instrument on the bus with it.""",
    severities=("danger", "fails"),
    clauses={"": Clause("ISO 16750-2", "2023", "load dump; common practice", "memory")},
    needs=("proofs",),
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Active chargers on a set of terminals without a bank, in any state; controllers that only switch are no chargers of their own."""
    boat = host(study.rig.job.rules) == "boat"
    switching = tuple(_switching(study))

    def as_severe(f: ProofFinding) -> Judgement:
        return judge(told(f), boat=boat, alternator=_is_alternator(study, f.subject), path=f.path)

    for subject, judged in from_proof(
        study,
        "open-bus",
        holds="Every charger keeps a battery, or survives without one",
        nothing="Nothing charges a bank.",
        remedy=REMEDY,
        judge=as_severe,
    ):
        if judged.verdict == "cannot-tell" and not boat and not _is_alternator(study, subject):
            yield subject, replace(judged, severity="fails")
        elif judged.verdict != "skip" or not switching:
            yield subject, judged
    for part in switching:
        yield (
            part.id,
            judge_switch(word(part, "battery_loss") or "unknown", boat=boat, asks=f"{part.id}.battery_loss"),
        )


def judge_switch(survives: str, *, boat: bool, asks: str) -> Judgement:
    """A controller that only switches, when the battery opens: the array's open volts come through it."""
    if survives == "survives":
        return passes("It lets go when its battery opens, by its page.")
    severity: Severity = "danger" if boat else "fails"
    told = "When the battery opens itself, the array's open volts come through it to everything on the bus"
    if survives == "fails":
        return fails(f"{told}.", REMEDY, severity=severity)
    return cannot_tell(
        f"{told}, unless it lets go at once: its page has to say so.",
        (asks,),
        remedy=REMEDY,
        severity=severity,
    )


def _switching(study: Study) -> Iterator[Part]:
    """Controllers that only switch, on a bank that may open itself."""
    for bank in banks(study.rig):
        if bank.chemistry == "lfp" or word(bank.members[0], "bms") in ("inside", "outside"):
            yield from (c for c in chargers_of(study, bank) if c.kind.name == "pv-controller-pwm")


def _is_alternator(study: Study, subject: str) -> bool:
    part = study.rig.parts.get(subject)
    return part is not None and part.kind.name == "alternator"
