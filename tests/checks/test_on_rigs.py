"""Rules on whole rigs: the demo jobs with one thing changed each. `CASES` is read by test_every_rule_is_tested.

Parts and people are invented; what a case changes stands in its edits.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache

import pytest
from tests.circuit.rigs import SPLIT

from ohmwright.checks import engine
from ohmwright.checks.answers import EYES
from ohmwright.checks.registry import rules
from ohmwright.checks.types import Finding
from ohmwright.rig.read import read_rig
from ohmwright.services.demos import files_of
from ohmwright.shelf.load import Shelf
from ohmwright.study import Study

Edit = Callable[[str], str]
LEAD = """
ohmwright: 1
job: {id: lead, rules: eu-vehicle 2023}
host:
  kind: van
  places:
    roof: {regime: outside, at: 0 0 2 m, plane: {tilt: 0 deg, faces: flat}}
    bay:  {regime: cabin, at: 0 0 0.5 m}
    box:  {regime: box, inside: bay, at: 0 0 0.5 m, vents: 100 cm2}
metal:
  body: {metal: steel}
parts:
  M:  {is: module-200w, array: 1s1p, at: roof}
  U1: {is: pv-controller-20a-100v, at: bay}
  B:  {is: battery-flooded-225ah-6v, count: 2, at: box, join: {as: series, link: 35 mm2 105C, link-length: 0.3 m}}
  F1: {is: fuse-class-t-100a, at: box}
  PD: {is: panel-dc-6way, at: bay, ways: {1: 10 A}}
use:
  loads:
    fridge: {fed: PD.1, energy: 400 Wh/day, length: 2 m, cable: 2 x 4 mm2 105C}
  stays:
    - {span: 06-01..08-31, place: Oslo, mode: occupied, nights: 20, coldest: 2 degC, hottest: 30 degC}
runs:
  W1: {from: M, to: U1.pv, cable: pv 6 mm2, length: 4 m}
  W2: {from: U1.bat.+, to: F1.load, cable: 25 mm2 105C, length: 1 m}
  W3: {from: U1.bat.-, to: B.-, cable: 25 mm2 105C, length: 1 m}
  W4: {from: B.+, to: F1.line, cable: 35 mm2 105C, length: 0.1 m}
  W5: {from: F1.load, to: PD.feed.+, cable: 25 mm2 105C, length: 1 m}
  W6: {from: PD.feed.-, to: B.-, cable: 25 mm2 105C, length: 1 m}
settings:
  U1: {absorption: 14.6 V, float: 13.5 V}
"""
UNKNOWN = "unknown (asked 2026-05-01)"
RIGS = {"built": ("trailer", "rig-built.yaml"), "quoted": ("trailer", "rig.yaml"), "boat": ("boat", "rig.yaml"), "cabin": ("cabin", "rig.yaml"), "van": ("van", "rig.yaml"), "lead": ("", LEAD), "split": ("", SPLIT.replace("ohmwright: 1\n", "ohmwright: 1\njob: {id: split, rules: us-cabin 2023}\n"))}  # fmt: skip


def swap(old: str, new: str) -> Edit:
    """Replace one place of the file."""

    def edit(text: str) -> str:
        assert text.count(old) == 1, (old, text.count(old))
        return text.replace(old, new)

    return edit


def part(name: str, *more: str) -> Edit:
    """Give a part figures or words over its shelf's."""

    def edit(text: str) -> str:
        made, count = re.subn(rf"(?m)^(  {name}:\s+\{{is: [^,}}\s]+)", rf"\1, {', '.join(more)}", text)
        assert count == 1, name
        return made

    return edit


def add(section: str, line: str) -> Edit:
    """A line at the head of a section."""
    return (
        swap(f"\n{section}:\n", f"\n{section}:\n  {line}\n")
        if section != "loads"
        else swap("\n  loads:\n", f"\n  loads:\n    {line}\n")
    )


def drop(start: str) -> Edit:
    """Take out the line that begins so."""

    def edit(text: str) -> str:
        kept = [x for x in text.split("\n") if not x.strip().startswith(start)]
        assert len(kept) == text.count("\n"), start
        return "\n".join(kept)

    return edit


def blind(text: str) -> str:
    """Nobody has looked at anything."""
    head = text.partition("\nlooked-at:")[0]
    return head + "\n"


def rules_of(name: str) -> Edit:
    """Another rule set."""

    def edit(text: str) -> str:
        return re.sub(r"rules: \w+-\w+ 2023", f"rules: {name} 2023", text, count=1)

    return edit


@cache
def study_of(rig: str, edits: tuple[Edit, ...] = ()) -> Study:
    name, path = RIGS[rig]
    files = files_of(name) if name else {"rig.yaml": path.encode()}
    text = files["rig.yaml" if not name else path].decode()
    for edit in edits:
        text = edit(text)
    shelf = Shelf(
        job={p: b.decode() for p, b in files.items() if p.startswith("shelf/") and p.endswith(".yaml")}
    )
    return Study(read_rig(text, path if name else "lead.yaml", shelf), today="2026-06-01")


def found(study: Study, number: str) -> list[Finding]:
    return list(engine.run(study, [number]))


@dataclass(frozen=True)
class Case:
    """What a rule says of one subject of a rig."""

    number: str
    rig: str
    subject: str
    verdict: str
    edits: tuple[Edit, ...] = ()
    name: str = ""
    missing: str = ""
    kinds: tuple[str, ...] = field(default=())


U = UNKNOWN
CASES = [
    Case("A3", "built", "M", "pass"),
    Case(
        "A3",
        "built",
        "S1",
        "cannot-tell",
        (part("S1", f"voltage-per-pole: {U}", f"voltage: {U}"),),
        "breaker without volts",
    ),
    Case(
        "A4",
        "built",
        "U1",
        "cannot-tell",
        (part("U1", f"max-pv-short-circuit: {U}"),),
        missing="U1.max_pv_short_circuit",
    ),
    Case("A5", "built", "W01.+", "pass"),
    Case("A5", "quoted", "W08.+", "fail"),
    Case("A5", "van", "W01.+", "cannot-tell"),
    Case("A6", "cabin", "M", "pass"),
    Case("A6", "boat", "M3", "skip"),
    Case("A7", "quoted", "M.1", "fail"),
    Case("A7", "cabin", "M.1", "pass"),
    Case("A8", "built", "S1", "pass"),
    Case("A8", "built", "S1", "cannot-tell", (part("S1", f"rated: {U}"),)),
    Case("A9", "built", "M.1", "cannot-tell", (part("M", f"max-power-voltage: {U}"),)),
    Case("A10", "built", "M.1", "cannot-tell", (part("M", f"open-circuit: {U}"),)),
    Case("A10", "built", "M.1", "pass"),
    Case("A10", "boat", "M1.1", "fail"),
    Case("A12", "van", "U1", "cannot-tell"),
    Case("A13", "boat", "U1", "cannot-tell", missing="host.places.chart-table.hottest"),
    Case("A14", "built", "M.1", "skip"),
    Case("A16", "built", "M", "skip"),
    Case("A17", "van", "M", "cannot-tell", missing="M.laid"),
    Case("A18", "built", "M", "skip"),
    Case("A19", "built", "M", "overridden"),
    Case("A19", "van", "M", "cannot-tell"),
    Case("A20", "cabin", "M", "cannot-tell", missing="M.gap"),
    Case("A22", "built", "M", "pass"),
    Case(
        "A22",
        "built",
        "M",
        "fail",
        (
            add("runs", "WX: {from: S1.load, to: UX.pv, cable: pv 10 AWG, length: 1 m}"),
            add("parts", "UX: {is: pv-controller-85a-150v, at: side-bay}"),
        ),
        "two controllers",
    ),
    Case("A26", "built", "M", "pass"),
    Case("A26", "van", "M", "fail"),
    Case("B1", "built", "U2", "pass"),
    Case("B1", "built", "U2", "cannot-tell", (part("B", f"discharge-max: {U}"),)),
    Case("B1", "van", "U2", "fail"),
    Case("B2", "built", "microwave-starts", "pass"),
    Case("B3", "built", "B", "fail"),
    Case("B3", "cabin", "B", "pass"),
    Case("B3", "boat", "B", "fail"),  # its inverter cuts off before the battery does
    Case("B3", "built", "B", "cannot-tell", (part("B", f"discharge-max: {U}"),)),
    Case("B4", "van", "B", "cannot-tell"),
    Case("B5", "boat", "B", "cannot-tell", missing="host.places.battery-bay.coldest"),
    Case("B6", "built", "B", "pass"),
    Case("B6", "built", "B", "cannot-tell", (part("B", f"charge-min-temperature: {U}"),)),
    Case("B6", "built", "B", "fail", (part("B", "charge-min-temperature: -10 degC"),)),
    Case(
        "B7", "cabin", "B", "cannot-tell", (swap("UA: 1.73 W/K, ", ""),), missing="host.places.battery-box.UA"
    ),
    Case("B8", "built", "B", "fail"),
    Case("B8", "built", "B", "cannot-tell", (part("B", f"storage-min: {U}"),)),
    Case("B9", "boat", "SB", "pass"),
    Case("B10", "van", "B", "cannot-tell"),
    Case("B14", "built", "B", "skip"),
    Case("B15", "built", "B", "cannot-tell", (part("B", f"resistance: {U}"),)),
    Case("B16", "built", "B", "pass"),
    Case("B16", "van", "B", "fail"),
    Case("B17", "built", "B.1", "pass"),
    Case("B18", "built", "F1", "pass"),
    Case("B18", "quoted", "F1", "fail"),
    Case("B18", "built", "F1", "cannot-tell", (part("F1", f"interrupt: {U}"),)),
    Case("B20", "built", "B", "pass"),
    Case("B24", "built", "U1", "pass"),
    Case("B24", "van", "U1", "fail"),
    Case("B25", "built", "R1", "pass"),
    Case("B26", "built", "U2", "pass"),
    Case("B27", "built", "U2", "pass"),
    Case("B29", "built", "B", "pass"),
    Case("B29", "built", "B", "cannot-tell", (part("B", "recovery: unknown"),), missing="B.1.recovery"),
    Case("B33", "boat", "B", "pass"),
    Case("B33", "boat", "B", "cannot-tell", (swap("floods-at: 0.25 m (v), note", "note"),)),
    Case("B34", "built", "B", "pass"),
    Case("B34", "built", "B", "cannot-tell", (part("B", "probe-fault: unknown"),)),
    Case("B34", "van", "B", "fail", (part("B", "probe-fault: charges"), part("U1", "probe-fault: charges"))),
    Case("C1", "built", "W12", "pass"),
    Case("C1", "van", "W07", "fail"),
    Case("C1", "van", "kettle.branch.L", "cannot-tell"),
    Case("C2", "van", "B.1", "fail"),
    Case("C2", "built", "B.1", "pass"),
    Case("C3", "van", "fridge", "cannot-tell"),
    Case("C4", "built", "U2", "pass"),
    Case(
        "C4",
        "built",
        "U2",
        "cannot-tell",
        (swap("cut-off: 12.0 V, ", ""), part("U2", f"cutoff-voltage: {U}")),
    ),
    Case("C5", "built", "U1", "fail"),
    Case(
        "C5",
        "built",
        "U1",
        "cannot-tell",
        (
            swap(
                "W05: {from: U1.bat.-, to: XN.1,    cable: 2 AWG 105C black, length: 0.6 m}",
                f"W05: {{from: U1.bat.-, to: XN.1, cable: 2 AWG 105C black, length: {U}}}",
            ),
        ),
    ),
    Case("C6", "van", "W10", "cannot-tell"),
    Case("C8", "van", "FA", "cannot-tell"),
    Case("C9", "built", "S1", "pass"),
    Case("C9", "built", "S1", "cannot-tell", (part("S1", "polarised: unknown"),)),
    Case("C10", "van", "FA", "cannot-tell", missing="FA.min_cable"),
    Case("C11", "built", "W01", "pass"),
    Case(
        "C11",
        "built",
        "W01",
        "cannot-tell",
        (swap("cable: pv 10 AWG, length: 12 m", "cable: 10 AWG 105C, length: 12 m"),),
        missing="W01.cable",
    ),
    Case(
        "C11",
        "built",
        "W01",
        "fail",
        (swap("cable: pv 10 AWG, length: 12 m", "cable: 10 AWG house, length: 12 m"),),
    ),
    Case("C12", "built", "detectors", "pass"),
    Case("C12", "van", "vehicle", "cannot-tell"),
    Case(
        "C12",
        "built",
        "detectors",
        "fail",
        (swap("power: 3 W, hours: 24 h, priority: always", "power: 300 W, hours: 24 h, priority: always"),),
    ),
    Case("C13", "built", "W36", "pass"),
    Case(
        "C13",
        "built",
        "W36",
        "fail",
        (
            swap(
                "W36: {from: U2.case,  to: chassis,   cable: 2 AWG green",
                "W36: {from: U2.case,  to: chassis,   cable: 4 AWG green",
            ),
        ),
        "a bond too small",
    ),
    Case(
        "C13",
        "built",
        "W36",
        "cannot-tell",
        (
            swap(
                "W36: {from: U2.case,  to: chassis,   cable: 2 AWG green",
                "W36: {from: U2.case,  to: chassis,   cable: maker's lead",
            ),
        ),
    ),
    Case("C14", "boat", "W88", "fail"),
    Case("C14", "built", "rig", "pass"),
    Case("C16", "built", "rig", "pass"),
    Case("C19", "boat", "rig", "pass"),
    Case(
        "C20",
        "built",
        "WX",
        "fail",
        (add("runs", "WX: {from: XP.3, to: U2.dc.+, cable: 4/0 AWG 105C red, length: 1.8 m}"),),
        "two of different length",
    ),
    Case("C21", "built", "rig", "pass"),
    Case("C23", "built", "W32", "pass"),
    Case("D1", "boat", "SUP", "cannot-tell"),
    Case("D2", "van", "SUP", "fail"),
    Case("D2", "built", "U2", "pass"),
    Case("D3", "built", "U2", "pass"),
    Case("D4", "van", "kettle", "fail"),
    Case("D4", "built", "induction", "pass"),
    Case("D5", "built", "U2", "pass"),
    Case("D7", "cabin", "G1", "fail"),
    Case("D7", "cabin", "G1", "cannot-tell", (part("G1", f"power: {U}"),)),
    Case("D8", "built", "U2", "pass"),
    Case("D8", "built", "U2", "cannot-tell", (part("U2", f"transfer-current: {U}"),)),
    Case("D9", "cabin", "well-pump", "pass"),
    Case("D9", "cabin", "well-pump", "cannot-tell", (part("U2", f"surge: {U}", f"power: {U}"),)),
    Case("D10", "van", "U2", "cannot-tell"),
    Case("D11", "cabin", "U2", "cannot-tell"),
    Case("D12", "built", "U2", "cannot-tell", (part("U2", f"power: {U}"),)),
    Case("D13", "boat", "J1", "pass"),
    Case("D14", "built", "rig", "skip"),
    Case("D14", "split", "PA.feed", "pass", (drop("W6:"),)),
    Case("D14", "split", "PA.feed", "fail"),
    Case("D17", "cabin", "rig", "pass"),
    Case(
        "D17",
        "cabin",
        "rig",
        "fail",
        (drop("P1:"), drop("P2:"), drop("P3:"), drop("W05:"), drop("W06:"), drop("W38:")),
        "no surge device",
    ),
    Case("D19", "van", "C1", "fail"),
    Case("D19", "built", "J1", "pass"),
    Case("D21", "van", "QD", "cannot-tell"),
    Case("D21", "built", "QG", "pass"),
    Case("D21", "boat", "Q3", "fail", (part("Q3", "type: ac"),)),
    Case("D22", "boat", "Q3", "pass"),
    Case("D25", "cabin", "M", "pass"),
    Case("D25", "cabin", "M", "fail", (drop("W07:"),), "the frame on nothing"),
    Case("E1", "boat", "host.chart-table", "cannot-tell"),
    Case("E1", "built", "host.side-bay", "warn"),
    Case("E3", "van", "host.bonnet", "pass"),
    Case("E4", "quoted", "B", "fail"),
    Case("E8", "built", "host", "pass"),
    Case(
        "E8",
        "built",
        "host",
        "cannot-tell",
        (swap(" track: 2.05 m (m 2026-05-02),", ""),),
        missing="host.masses.track",
    ),
    Case("E9", "built", "M", "pass"),
    Case("E9", "built", "M", "fail", (swap('feet: "6"', 'feet: "4"'),), "four feet"),
    Case("E9", "built", "M", "cannot-tell", (drop("MT:"),), "no mounting"),
    Case("E10", "built", "host", "pass"),
    Case("E10", "boat", "host", "cannot-tell", missing="host.masses.roof-limit"),
    Case("E11", "built", "U2", "pass"),
    Case("E11", "built", "U1", "cannot-tell", (part("U1", f"size: {U}"),), missing="U1.size"),
    Case(
        "E11",
        "built",
        "U2",
        "fail",
        (part("U2", "size: 362 x 620 x 560 mm"),),
        "a unit that does not pass the hatch",
    ),
    Case("E12", "boat", "shaft, keel", "cannot-tell", missing="metal.shaft.metal"),
    Case(
        "E12",
        "boat",
        "shaft, keel",
        "fail",
        (
            swap(
                "shaft:  {touches: engine, wet: sea}", "shaft:  {touches: engine, wet: sea, metal: stainless}"
            ),
            swap("keel:   {wet: sea}", "keel:   {wet: sea, metal: iron}"),
        ),
        "stainless and iron",
    ),
    Case("E13", "boat", "U2", "cannot-tell", missing="U2.noise"),
    Case("E14", "boat", "host", "cannot-tell", missing="host.masses.trim-limit"),
    Case(
        "E14",
        "boat",
        "host",
        "pass",
        (swap("trim-limit: unknown (asked 2026-02-18)", "trim-limit: 0.2 m (o), displacement: 8200 kg (o)"),),
    ),
    Case("F1", "boat", "U5", "warn"),
    Case("F2", "van", "KP", "fail"),
    Case("F3", "van", "AL", "fail"),
    Case("F3", "boat", "AL", "pass"),
    Case("F5", "van", "U2.dc.-", "fail"),
    Case("F5", "built", "R1 B", "pass"),
    Case("F6", "built", "R1", "fail"),
    Case("F6", "built", "R1", "cannot-tell", (part("R1", f"rated: {U}"),)),
    Case("F7", "built", "R1", "cannot-tell", (part("R1", f"dead-band: {U}"),)),
    Case("F8", "van", "R1", "cannot-tell", missing="settings.R1.full"),
    Case("F9", "built", "R1", "cannot-tell", (part("R1", f"accuracy: {U}"),)),
    Case("F10", "built", "B", "fail"),
    Case("F11", "built", "detectors", "pass"),
    Case(
        "F11",
        "built",
        "detectors",
        "fail",
        (swap("  W22: {from: F1.line,  to: F7.line", "  W22: {from: Q1.load,  to: F7.line"),),
        "its feed behind the main",
    ),
    Case("F13", "boat", "remote", "pass"),
    Case("F14", "boat", "AL", "pass"),
    Case(
        "F17", "built", "detectors", "fail", (swap("vital: alarm", "vital: medical"),), "a life on one bank"
    ),
    Case("F17", "built", "rig", "skip"),
    # more of what is missing, and of what is wrong
    Case(
        "A1",
        "built",
        "M.1",
        "cannot-tell",
        (part("U1", f"max-pv-voltage: {U}"),),
        missing="U1.max_pv_voltage",
    ),
    Case("A2", "built", "M.1", "cannot-tell", (part("U1", f"max-pv-voltage: {U}"),)),
    Case("A6", "cabin", "M", "cannot-tell", (part("M", f"max-series-fuse: {U}"),)),
    Case("A6", "cabin", "M", "fail", (part("M", "max-series-fuse: 5 A"),)),
    Case("A7", "cabin", "M.1", "cannot-tell", (part("M", f"max-series-fuse: {U}"),)),
    Case("A11", "van", "M.1", "cannot-tell", (part("M", f"max-power-voltage: {U}"),)),
    Case("B11", "built", "B", "skip"),
    # a small rig on lead-acid
    Case("B12", "lead", "B", "cannot-tell", (part("B", f"capacity: {U}"),)),
    Case("B14", "lead", "B", "pass"),
    Case("B14", "lead", "B", "cannot-tell", (part("B", f"capacity: {U}"),)),
    Case("B21", "lead", "B", "pass"),
    Case("B21", "lead", "B", "fail", (part("B", "series-max: 1"),)),
    Case("B21", "lead", "B", "cannot-tell", (part("B", f"series-max: {U}", "series-allowed: unknown"),)),
    Case("E3", "lead", "host.box", "fail"),
    Case(
        "E3",
        "lead",
        "host.box",
        "cannot-tell",
        (
            swap("regime: box, inside: bay", "regime: box, inside: bay, vapour: unknown"),
            part("B", "vented: no"),
        ),
    ),
    Case("E16", "lead", "B", "cannot-tell"),
    # and on the demo rigs
    Case(
        "A14",
        "built",
        "M.1",
        "cannot-tell",
        (part("M", "but: {1.2: {is: module-430w, max-power-current: " + U + "}}"),),
    ),
    Case("A15", "cabin", "M", "cannot-tell", (part("M", f"max-power-voltage: {U}"),)),
    Case(
        "A16",
        "built",
        "M",
        "cannot-tell",
        (swap("plane: {tilt: 0 deg, faces: flat}", f"plane: {{tilt: {U}, faces: 180 deg true}}"),),
    ),
    Case(
        "B2",
        "built",
        "microwave-starts",
        "fail",
        (part("B", "discharge-peak: 20 A for 10 s", "discharge-max: 20 A @ 25 degC"),),
    ),
    Case(
        "B2",
        "built",
        "microwave-starts",
        "cannot-tell",
        (part("B", f"discharge-peak: {U}", f"discharge-max: {U}"),),
    ),
    Case("B20", "built", "B", "fail", (part("B", "but: {2: {is: battery-agm-100ah-12v}}"),)),
    Case("B20", "boat", "B", "cannot-tell", (part("B", "but: {2: {chemistry: unknown}}"),)),
    Case(
        "B24",
        "built",
        "U1",
        "cannot-tell",
        (
            swap(
                "temperature-comp: off-by-choice, equalise: none}\n  U2",
                f"temperature-comp: off-by-choice, equalise: {U}}}\n  U2",
            ),
        ),
    ),
    Case("B25", "built", "U2", "cannot-tell", (part("B", f"cutoff-voltage: {U}"),)),
    Case("B26", "built", "U2", "fail", (part("U2", "battery-loss: fails"),)),
    Case("B26", "built", "U2", "cannot-tell", (part("U2", "battery-loss: unknown"),)),
    Case("B27", "built", "U2", "fail", (part("B", "capacity: 100 Ah"),)),
    Case("B27", "built", "U2", "cannot-tell", (part("B", f"capacity: {U}"),)),
    Case(
        "C14",
        "built",
        "W12",
        "cannot-tell",
        (
            swap(
                "W12: {from: XP.3,     to: U2.dc.+, cable: 4/0 AWG 105C red, length: 0.8 m}",
                "W12: {from: XP.3,     to: U2.dc.+, cable: unknown, length: 0.8 m}",
            ),
        ),
    ),
    Case("C16", "built", "F1", "cannot-tell", (part("F1", f"torque: {U}"),)),
    Case(
        "C19",
        "built",
        "F1",
        "fail",
        (
            part("F1", "ignition-protected: no"),
            swap("regime: box, inside: bunk-locker", "regime: box, inside: bunk-locker, vapour: petrol"),
        ),
    ),
    Case(
        "C19",
        "built",
        "F1",
        "cannot-tell",
        (
            part("F1", "ignition-protected: unknown"),
            swap("regime: box, inside: bunk-locker", "regime: box, inside: bunk-locker, vapour: petrol"),
        ),
    ),
    Case(
        "C20",
        "built",
        "WX",
        "pass",
        (add("runs", "WX: {from: XP.3, to: U2.dc.+, cable: 4/0 AWG 105C red, length: 0.8 m}"),),
    ),
    Case(
        "C20",
        "built",
        "WX",
        "cannot-tell",
        (add("runs", f"WX: {{from: XP.3, to: U2.dc.+, cable: 4/0 AWG 105C red, length: {U}}}"),),
    ),
    Case(
        "D3",
        "built",
        "states",
        "fail",
        (swap("W23: {from: J1, to: U2.ac-in", "W23: {from: PA.4, to: U2.ac-in"),),
    ),
    Case(
        "D5",
        "built",
        "U2",
        "cannot-tell",
        (swap("supply-limit: 24 A, charge: 85 A, ", ""), part("U2", f"charge-current: {U}")),
    ),
    Case("D19", "built", "C1.from", "pass"),
    Case("D22", "boat", "PA", "fail", (part("PA", 'way-poles: "1"', "polarity-lamp: no"),)),
    Case(
        "D13",
        "boat",
        "J1",
        "fail",
        (add("runs", "WX: {from: J1.PE, to: engine, cable: 4 mm2 green-yellow, length: 1 m, role: earth}"),),
    ),
    Case(
        "F13",
        "boat",
        "remote",
        "fail",
        (
            swap(
                "remote:  {set: {Q6: open, Q9: open}, stays-live: [BM]}",
                "remote:  {set: {Q6: open, Q9: open}, stays-live: []}",
            ),
        ),
    ),
    Case(
        "F4",
        "built",
        "TV",
        "cannot-tell",
        (
            swap("W15: {from: F3.load,  to: U3.in.+", "W15: {from: F3.load,  to: XP.6"),
            part("TV", f"resistance: {U}"),
        ),
    ),
    Case("D22", "boat", "PA", "cannot-tell", (part("PA", "way-poles: unknown", "polarity-lamp: no"),)),
    Case("F1", "boat", "U5", "cannot-tell", (part("AL", f"rated: {U}"),)),
    Case("F2", "van", "KP", "cannot-tell", (part("B", "chemistry: unknown"),)),
    Case("F10", "built", "B", "cannot-tell", (part("B", f"capacity: {U}"),)),
]


@pytest.mark.parametrize(
    "case", CASES, ids=lambda c: f"{c.number} {c.rig} {c.subject} {c.verdict} {c.name}".strip()
)
def test_a_rule_on_a_rig(case: Case) -> None:
    said = [f for f in found(study_of(case.rig, case.edits), case.number) if f.subject == case.subject]

    assert case.verdict in {f.verdict for f in said}, [
        (f.subject, f.verdict, f.message) for f in found(study_of(case.rig, case.edits), case.number)
    ]
    if case.missing:
        assert case.missing in {m for f in said for m in f.missing}


#: The rig that a rule of eyes is tried on, and what has to be changed so that it asks.
ASKING: dict[str, tuple[str, tuple[Edit, ...]]] = {
    "A23": ("built", (swap("length: 12 m (m 2026-04-02)}", "length: 12 m (m 2026-04-02), plugs: from}"),)),
    "A29": ("quoted", ()),
    "A27": ("cabin", (rules_of("us-cabin"),)),
    "B35": ("built", (swap("stage: built", "stage: as found"),)),
    "C9": ("built", (part("S1", "polarised: yes"),)),
    "E21": ("built", ()),
    "C17": ("cabin", ()),
    "C22": ("boat", ()),
    "C25": ("cabin", (swap("by: same part", "by: plate"),)),
    "D16": ("cabin", ()),
    "D18": ("cabin", (rules_of("us-cabin"),)),
    "D23": ("boat", ()),
    "D25": ("boat", ()),
    "E16": ("boat", ()),
    "F11": ("boat", ()),
    "F12": ("cabin", (add("parts", "GW: {is: monitor-gateway-12v, at: plant-room}"),)),
    "F14": (
        "boat",
        (
            part("AL", "regulator: outside"),
            swap("W35: {from: F20.line, to: F8.load", "W35: {from: F20.line, to: Q9.load"),
        ),
    ),
    "F15": ("built", (swap("    sleeps: two", "    second-owner: yes\n    sleeps: two"),)),
    "F16": ("cabin", ()),
}


def eyes() -> Iterator[str]:
    return (r.number for r in rules().values() if EYES in r.needs)


def asking(number: str) -> tuple[str, tuple[Edit, ...]]:
    return ASKING.get(number, ("built", ()))


@pytest.mark.parametrize("number", list(eyes()))
def test_what_only_eyes_can_tell_is_asked_and_answered(number: str) -> None:
    rig, edits = asking(number)
    asked = [f for f in found(study_of(rig, (*edits, blind)), number) if f.verdict == "cannot-tell" and any(m.startswith("looked-at ") for m in f.missing)]  # fmt: skip
    assert asked, [(f.subject, f.verdict, f.message) for f in found(study_of(rig, (*edits, blind)), number)]
    one = asked[0]
    for verdict in ("pass", "fail"):
        look = f"\nlooked-at:\n  - {{rule: {one.rule}, subject: {one.subject}, found: seen, by: shop, dated: 2026-05-02, verdict: {verdict}}}\n"

        def looked(text: str, look: str = look) -> str:
            return blind(text) + look

        after = [f for f in found(study_of(rig, (*edits, looked)), number) if f.subject == one.subject]
        assert verdict in {f.verdict for f in after}
