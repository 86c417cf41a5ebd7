"""Every proof has mutants on every demo rig it speaks of: the rig with one thing moved, which that proof must catch as something new."""

from collections.abc import Callable, Mapping
from functools import lru_cache

import pytest
from tests.circuit.rigs import NAMES, changed, demo, moved, split, with_line, without

from ohmwright.circuit.proofs import PROOFS, prove
from ohmwright.circuit.types import Proof
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Rig

Made = tuple[Rig, Graph]

MUTANTS: dict[str, dict[str, dict[str, Callable[[], Made]]]] = {
    "shunt": {
        "trailer": {
            "inverter minus at the bank": lambda: moved("trailer", ("W13", "to", "R1.bank")),
            "charger minus at the bank": lambda: moved("trailer", ("W35", "to", "B.-")),
            "panel minus at the bank": lambda: moved("trailer", ("W21", "to", "R1.bank")),
            "dc-dc minus at the bank": lambda: moved("trailer", ("W18", "to", "B.-")),
            "bond at the bank": lambda: moved("trailer", ("W25", "from", "R1.bank")),
            "detectors at the bank": lambda: moved("trailer", ("W30", "to", "R1.bank")),
            "shunt bridged": lambda: with_line(
                "trailer", "runs", "Y1: {from: B.-, to: XN.7, cable: 2 AWG, length: 1 m}"
            ),
        },
        "boat": {
            "inverter minus on the battery bar": lambda: moved("boat", ("W76", "to", "XC.4")),
            "windlass minus on the battery bar": lambda: moved("boat", ("W72", "to", "XC.5")),
        },
        "cabin": {
            "charger minus on the battery bar": lambda: moved("cabin", ("W10", "to", "XC.5")),
            "earth on the battery bar": lambda: moved("cabin", ("W40", "from", "XC.5")),
        },
        "van": {
            "panel minus at the bank": lambda: moved("van", ("W11", "to", "B.-")),
        },
    },
    "neutral-earth": {
        "trailer": {
            "fixed join beside the post": lambda: with_line(
                "trailer", "runs", "Y1: {from: U2.ac-in.N, to: chassis, cable: 8 AWG, length: 1 m}"
            ),
        },
        "boat": {
            "transformer bond left out": lambda: without("boat", "W83"),
            "transformer bond on the primary": lambda: moved("boat", ("W83", "from", "T1.primary.N")),
            "earth of the transformer left off": lambda: with_line(
                "boat", "runs", "Y1: {from: Q8.load.N, to: XE.8, cable: 4 mm2, length: 1 m}"
            ),
        },
        "cabin": {
            "ground relay disabled": lambda: changed(
                "cabin", ("ground-relay: enabled", "ground-relay: disabled")
            ),
            "second join in the panel": lambda: with_line(
                "cabin", "runs", "Y1: {from: PA.feed.N, to: XE.12, cable: 6 mm2, length: 1 m, role: bond}"
            ),
            "neutral on the DC minus bar": lambda: with_line(
                "cabin", "runs", "Y1: {from: U2.ac-out.N, to: XN.7, cable: 6 mm2, length: 1 m}"
            ),
            "generator without a join": lambda: changed("cabin", ("bond: fitted", "bond: none")),
        },
        "van": {
            "link in the panel beside the inverter's relay": lambda: changed(
                "van",
                ("inverter-3kva-12v-230v-floating", "inverter-2kva-12v-230v"),
                ("bond: none, main: no", "bond: fitted, main: no"),
            ),
        },
    },
    "sources-meet": {
        "trailer": {
            "an AC line on the array": lambda: moved("trailer", ("W44", "from", "QG.load.L")),
            "reversed battery": lambda: with_line(
                "trailer", "runs", "Y1: {from: XP.7, to: XN.7, cable: 2 AWG, length: 1 m}"
            ),
        },
        "boat": {
            "start bank on the house bar": lambda: with_line(
                "boat", "runs", "Y1: {from: XS.6, to: XP.12, cable: 70 mm2, length: 1 m}"
            ),
            "crossover joins the banks": lambda: moved("boat", ("W37", "to", "XS.6")),
            "dc-dc output reversed": lambda: moved(
                "boat", ("W52", "from", "U5.out.-"), ("W54", "from", "U5.out.+")
            ),
        },
        "cabin": {
            "generator and inverter on one panel": lambda: moved("cabin", ("W34", "to", "Q5.1")),
            "one-pole changeover": lambda: with_line(
                "cabin", "runs", "Y1: {from: Q3.load.N, to: QR.line.N, cable: 6 mm2, length: 1 m}"
            ),
            "an AC line on the plus bar": lambda: with_line(
                "cabin", "runs", "Y1: {from: PA.feed.L, to: XP.6, cable: 6 mm2, length: 1 m}"
            ),
        },
        "van": {
            "an AC line on a plus": lambda: with_line(
                "van", "runs", "Y1: {from: PA.feed.L, to: PD.feed.+, cable: 6 mm2, length: 1 m}"
            ),
        },
    },
    "pins": {
        "trailer": {
            "inlet on the panel": lambda: moved("trailer", ("W23", "to", "U2.ac-out")),
        },
        "boat": {
            "cord between two sockets": lambda: changed(
                "boat",
                (
                    "  J1: {is: shore-inlet",
                    "  X9: {is: outlet-13a-230v, at: chart-table}\n  J1: {is: shore-inlet",
                ),
                ("C1:  {from: SUP, to: J1,", "C1:  {from: SUP, to: X9.socket,"),
            ),
        },
        "cabin": {
            "inlet behind the inverter": lambda: moved("cabin", ("W31", "to", "{port: QR.line, PE: XE.3}")),
        },
        "van": {
            "an inlet behind the inverter": lambda: changed(
                "van",
                ("  SUP: {is:", "  J9: {is: shore-inlet-16a-230v, at: galley}\n  SUP: {is:"),
                (
                    "  W23: {from:",
                    "  Y1: {from: J9, to: PA.feed, cable: 3 x 2.5 mm2, length: 1 m}\n  W23: {from:",
                ),
            ),
        },
    },
    "self-charging": {
        "trailer": {
            "dc-dc input on the house bar": lambda: moved(
                "trailer", ("W14", "from", "XP.6"), ("W27", "from", "XN.7")
            ),
        },
        "boat": {
            "dc-dc input on the house bar": lambda: moved(
                "boat", ("W49", "from", "XP.12"), ("W51", "to", "XN.9")
            ),
        },
        "cabin": {
            "charger behind its own inverter": lambda: with_line(
                "cabin", "runs", "Y1: {from: PA.6, to: U2.ac-in, cable: 3 x 6 mm2, length: 3 m}"
            ),
        },
        "van": {
            "dc-dc charger between two posts of one bank": lambda: changed(
                "van",
                ("KP: {is: voltage-sensing-relay", "KP: {is: dcdc-charger-30a-isolated"),
                ("to: KP.load,", "to: KP.out.+,"),
                ("W14: {from: KP.line, to: SB.+,", "W14: {from: KP.in.+, to: B.2.+,"),
                (
                    "  W15: {",
                    "  Y1: {from: KP.in.-, to: XN.5, cable: 16 mm2}\n  Y2: {from: KP.out.-, to: XN.6, cable: 16 mm2}\n  W15: {",
                ),
            ),
        },
    },
    "protection": {
        "trailer": {
            "detectors before their fuse": lambda: changed(
                "trailer",
                ("each: {F: fuse-terminal-post-150a},\n", "\n"),
                ("W28: {from: F7.load,", "W28: {from: F1.line,"),
            ),
        },
        "boat": {
            "fuse of the start bank bridged": lambda: with_line(
                "boat", "runs", "Y1: {from: F8.line, to: Q9.line, cable: 70 mm2, length: 1 m}"
            ),
            "starter before the fuse": lambda: moved("boat", ("W33", "from", "F8.line")),
            "load before the battery fuse": lambda: with_line(
                "boat", "runs", "Y1: {from: F8.line, to: U6.in.+, cable: 6 mm2, length: 2 m}"
            ),
        },
        "cabin": {
            "inverter on a bank without fuses at its posts": lambda: changed(
                "cabin", ("each: {F: fuse-class-t-125a},", ""), ("W18: {from: F3.load,", "W18: {from: XB.5,")
            ),
        },
        "van": {
            "inverter before its fuse": lambda: moved("van", ("W05", "from", "B.+")),
        },
    },
    "frame-return": {
        "trailer": {
            "inverter returns by the chassis": lambda: moved("trailer", ("W13", "to", "chassis")),
            "panel returns by the chassis": lambda: moved("trailer", ("W21", "to", "chassis")),
        },
        "boat": {
            "dc supply returns by the keel": lambda: moved("boat", ("W76", "to", "keel")),
        },
        "cabin": {
            "supply returns through the PV controller": lambda: moved("cabin", ("W22", "to", "P1.-")),
            "charger returns by an earth way": lambda: moved("cabin", ("W10", "to", "XE.13")),
            "neutral returns by earth": lambda: changed(
                "cabin",
                (
                    "W36: {from: Q5.common, to: QR.line,",
                    "W36: {from: {L: Q5.common.L, N: XE.13}, to: QR.line,",
                ),
            ),
        },
        "van": {
            "inverter returns by the body": lambda: moved("van", ("W06", "to", "body")),
        },
    },
    "array-backfeed": {
        "trailer": {
            "array straight on the bank": lambda: moved(
                "trailer", ("W08", "to", '{"+": U1.bat.+, "-": U1.bat.-}')
            ),
        },
        "boat": {
            "array plus on the house bar": lambda: moved("boat", ("W02", "to", '{"+": XP.12, "-": U1.pv.-}')),
        },
        "cabin": {
            "pulse controller": lambda: changed(
                "cabin",
                ("U1: {is: pv-controller-70a-250v,", "U1: {is: pv-controller-pwm,"),
                ("W29: {from: F5.load, to: U1.surplus.line,", "W29: {from: F5.load, to: KB.coil.+,"),
                ("W43: {from: U1.surplus.load, to: KB.coil.+,", "W43: {from: F5.load, to: KB.coil.+,"),
            ),
        },
        "van": {
            "array straight on the start battery": lambda: changed(
                "van",
                ("U1: {is: pv-controller-pwm,", "U1: {is: pv-controller-15a-75v,"),
                ("W01: {from: M, to: U1.pv,", 'W01: {from: M, to: {"+": SB.+, "-": SB.-},'),
            ),
        },
    },
    "open-bus": {
        "trailer": {
            "dc-dc ahead of the main that fails": lambda: changed(
                "trailer",
                (
                    "U3:   {is: dcdc-charger-30a-common-negative,",
                    "U3:   {is: dcdc-charger-30a-common-negative, battery-loss: fails,",
                ),
            ),
        },
        "boat": {
            "alternator behind the start switch": lambda: moved("boat", ("W35", "to", "XS.6")),
            "controller that does not survive": lambda: changed(
                "boat",
                ("U1: {is: pv-controller-20a-100v,", "U1: {is: pv-controller-20a-100v, battery-loss: fails,"),
            ),
            "alternator on the house bar": lambda: moved("boat", ("W35", "to", "XP.12")),
        },
        "cabin": {
            "controller that does not survive": lambda: changed(
                "cabin",
                ("U1: {is: pv-controller-70a-250v,", "U1: {is: pv-controller-70a-250v, battery-loss: fails,"),
            ),
        },
        "van": {
            "switch between alternator and battery": lambda: changed(
                "van",
                ("  SB: {is:", "  Q9: {is: battery-switch-500a, at: bonnet}\n  SB: {is:"),
                (
                    "AL: {is: alternator-variable-voltage,",
                    "AL: {is: alternator-variable-voltage, battery-loss: fails,",
                ),
                (
                    "W15: {from: AL.+, to: SB.+,",
                    "Y1: {from: Q9.load, to: SB.+, cable: 25 mm2, length: 0.3 m}\n  W15: {from: AL.+, to: Q9.line,",
                ),
            ),
        },
    },
    "chemistry": {
        "trailer": {
            "dc-dc set for lead": lambda: changed(
                "trailer",
                (
                    "U3:   {is: dcdc-charger-30a-common-negative,",
                    "U3:   {is: dcdc-charger-30a-common-negative, charges: lead,",
                ),
            ),
        },
        "boat": {
            "alternator on the lithium bar": lambda: moved("boat", ("W35", "to", "XP.12")),
            "banks of two kinds in parallel": lambda: with_line(
                "boat", "runs", "Y1: {from: XS.6, to: XP.12, cable: 70 mm2, length: 1 m}"
            ),
        },
        "cabin": {
            "charger set for lead": lambda: changed(
                "cabin",
                ("U1: {is: pv-controller-70a-250v,", "U1: {is: pv-controller-70a-250v, charges: lead,"),
            ),
        },
        "van": {
            "controller set for lead": lambda: changed(
                "van", ("U1: {is: pv-controller-pwm,", "U1: {is: pv-controller-15a-75v, charges: lead,")
            ),
        },
    },
    "cuts": {
        "boat": {
            "inverter ahead of the main": lambda: moved("boat", ("W74", "from", "XB.5")),
            "coil past the remote switch": lambda: moved("boat", ("W26", "from", "BM.hold.+")),
            "hydrogenerator ahead of the contactor": lambda: moved("boat", ("W67", "to", "F1.load")),
        },
        "cabin": {
            "panel ahead of the main": lambda: moved("cabin", ("W20", "from", "F2.load")),
            "charger ahead of the main": lambda: moved("cabin", ("W09", "to", "F2.load")),
        },
    },
    "returns": {
        "trailer": {
            "loose end": lambda: without("trailer", "W19"),
            "panel fed by the tow vehicle alone": lambda: moved("trailer", ("W20", "from", "TV.aux.+")),
            "neutral left out": lambda: changed(
                "trailer",
                (
                    "W29: {from: QG.load, to: PA.feed, cores: L N, cable: 2 x 10 AWG 75C,",
                    "W29: {from: QG.load.L, to: PA.feed.L, cable: 10 AWG 75C,",
                ),
            ),
        },
        "boat": {
            "panel minus nowhere": lambda: without("boat", "W64"),
            "charger output on nothing": lambda: without("boat", "W53"),
            "panel minus on the other bank's plus": lambda: moved("boat", ("W61", "to", "Q2.a")),
            "dead selector position": lambda: without("boat", "W41"),
            "bms behind its own contactor": lambda: moved("boat", ("W22", "from", "XP.12")),
        },
        "cabin": {
            "reversed panel": lambda: moved("cabin", ("W21", "to", "U4.in.-"), ("W22", "from", "U4.in.+")),
            "load between two pluses": lambda: moved("cabin", ("W28", "to", "XP.6")),
        },
        "van": {
            "panel minus nowhere": lambda: without("van", "W11"),
        },
    },
    "metal": {
        "trailer": {
            "chassis on the plus bar": lambda: moved("trailer", ("W25", "from", "XP.6")),
        },
        "boat": {
            "engine bond on a plus": lambda: moved("boat", ("W94", "from", "XP.12")),
            "shore earth on the keel": lambda: changed(
                "boat", ("to: {port: Q3.line, PE: T1.screen}", "to: {port: Q3.line, PE: XE.8}")
            ),
            "earth bar cut from the hull": lambda: without("boat", "W95"),
        },
        "cabin": {
            "bond on a module's plus": lambda: moved("cabin", ("W07", "from", "S1.load.+")),
            "electrode on the array's minus": lambda: moved("cabin", ("W39", "from", "S1.load.-")),
            "case earthed on a load's minus": lambda: moved("cabin", ("W11", "to", "alarm.-")),
            "generator frame afloat": lambda: without("cabin", "W41"),
        },
        "van": {
            "body on the plus": lambda: moved("van", ("W12", "from", "B.+")),
        },
    },
    "rcd-join": {
        "trailer": {
            "panel bond": lambda: with_line(
                "trailer", "runs", "Y1: {from: PA.feed.N, to: chassis, cable: 8 AWG, length: 1 m}"
            ),
        },
        "boat": {
            "transformer bond behind its device": lambda: moved("boat", ("W83", "from", "Q8.load.N")),
        },
        "cabin": {
            "join behind the device": lambda: with_line(
                "cabin", "runs", "Y1: {from: QR.load.N, to: XE.12, cable: 6 mm2, length: 1 m}"
            ),
            "generator behind the device": lambda: moved("cabin", ("W34", "to", "QR.load")),
        },
        "van": {
            "panel bond": lambda: with_line(
                "van", "runs", "Y1: {from: PA.feed.N, to: body, cable: 4 mm2, length: 1 m}"
            ),
        },
    },
    "never": {
        "boat": {
            "heater coil past the aux contact": lambda: moved("boat", ("W89", "from", "KH.line.L")),
            "heater past its contactor": lambda: moved("boat", ("W87", "from", "{port: PS.2, PE: XE.5}")),
        },
    },
    "surge": {
        "cabin": {
            "surge device earthed on the minus": lambda: changed(
                "cabin", ("to: {port: S1.load, PE: XE.1}", 'to: {"+": S1.load.+, "-": XE.1, PE: S1.load.-}')
            ),
            "surge device on no earth": lambda: without("cabin", "W07"),
        },
    },
    "shared-neutral": {
        "split": {
            "one phase on both legs": lambda: split(),
        },
    },
}

CASES = [(proof, name, one) for proof, made in MUTANTS.items() for name in made for one in made[name]]


#: What a rig is held against that as it ships fails its proof already, in the same words: put right in that one point.
SOUND: dict[tuple[str, str], Callable[[], Made]] = {
    ("array-backfeed", "van"): lambda: changed(
        "van", ("U1: {is: pv-controller-pwm,", "U1: {is: pv-controller-15a-75v,")
    ),
    ("shared-neutral", "split"): lambda: split(
        ("  W6: {from: U2.ac-in.L1, to: U2.ac-in.L2, cable: 10 AWG, length: 0.1 m}\n", "")
    ),
}


@lru_cache(maxsize=8)
def as_shipped(name: str) -> Mapping[str, Proof]:
    """The proofs of a demo rig as it ships."""
    return prove(*demo(name))


def sound(proof: str, name: str) -> Proof:
    """The proof before anything is moved."""
    put_right = SOUND.get((proof, name))
    return prove(*put_right())[proof] if put_right is not None else as_shipped(name)[proof]


def test_no_proof_is_without_mutants() -> None:
    assert set(MUTANTS) == set(PROOFS)
    assert all(made and all(made.values()) for made in MUTANTS.values())


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("proof", PROOFS)
def test_a_proof_that_speaks_of_a_demo_rig_has_mutants_of_that_rig(proof: str, name: str) -> None:
    assert bool(as_shipped(name)[proof].subjects) <= bool(MUTANTS[proof].get(name)), (
        f"{proof} proves something about the {name}: move one of its runs so that it no longer holds"
    )


@pytest.mark.parametrize(("proof", "name", "one"), CASES)
def test_a_mutant_is_caught(proof: str, name: str, one: str) -> None:
    rig, graph = MUTANTS[proof][name][one]()
    before = {(f.subject, f.message) for f in sound(proof, name).found}

    found = [f for f in prove(rig, graph)[proof].found if (f.subject, f.message) not in before]

    assert found, f"{one} slips through"
    assert all(f.message for f in found)


def test_any_minus_of_the_trailer_moved_past_the_shunt_is_caught() -> None:
    rig, _ = demo("trailer")
    for run in rig.runs.values():
        if run.part_of or run.id in ("W39", "W10"):
            continue
        for end, written in (("from", run.start), ("to", run.stop)):
            if written.startswith("XN."):
                assert prove(*moved("trailer", (run.id, end, "R1.bank")))["shunt"].found, run.id


def test_a_split_inverter_alone_shares_no_neutral() -> None:
    rig, graph = split(("  W6: {from: U2.ac-in.L1, to: U2.ac-in.L2, cable: 10 AWG, length: 0.1 m}\n", ""))
    assert prove(rig, graph)["shared-neutral"].holds
