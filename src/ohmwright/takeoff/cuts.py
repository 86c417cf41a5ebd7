"""Every conductor as a thing to cut: length, ends, colour, label."""

from collections import Counter
from collections.abc import Iterator

from ohmwright.physics.weights import conductor_kg
from ohmwright.rig.expand import graph_of
from ohmwright.rig.graph import Conductor, Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.rig.ports import is_group, main_outlet, members, own_device, ports_of
from ohmwright.standards import find
from ohmwright.takeoff.poles import LETTERS, poles_of
from ohmwright.takeoff.practice import Practice, practice
from ohmwright.takeoff.types import CutLine
from ohmwright.working import Figure, NotThere, known

_POWER_ROLES = ("dc", "stud", "earth")
_INCH_mm = 25.4
_ROLE_LETTERS = {"bond": "E", "earth": "E", "data": "D"}


def cuts_of(rig: Rig) -> tuple[CutLine, ...]:
    """All conductors in the order of the file, links, leads and branch cables with them."""
    return tuple(_Cutting(rig).lines())


class _Cutting:
    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.graph: Graph = graph_of(rig)
        self.poles = poles_of(self.graph)
        self.practice: Practice = practice()
        self.serial: Counter[tuple[str, str, str]] = Counter()
        self.studs = _take_offs(rig)

    def lines(self) -> Iterator[CutLine]:
        for c in self.graph.conductors.values():
            yield self.line(c)

    def line(self, c: Conductor) -> CutLine:
        run = self.rig.runs[c.run]
        cable = c.cable
        allowance_m = cut_m = None
        made = "comes with the device" if "maker's lead" in cable.words else ""
        if isinstance(c.length, NotThere):
            made = "no cable"
        if c.length_m is not None and not made:
            allowance_m = sum(
                self.practice.end_m(c.area_mm2, cores=cable.cores, length_m=c.length_m, regime=self.regime(t))
                for t in (c.a, c.b)
            )
            cut_m = self.practice.rounded_up_m(c.length_m + allowance_m)
        pole = c.pole or self.pole(c)
        colour = cable.colour if cable.cores == 1 else ""
        from_file = bool(colour)
        if not colour:
            colour = self.practice.colour(self.rig.job.rules, "PE" if c.role in ("bond", "earth") else pole)
        (lug_a, stud_a, torque_a), (lug_b, stud_b, torque_b) = self.end(c, c.a), self.end(c, c.b)
        return CutLine(
            id=c.id,
            run=c.run,
            start=c.a,
            stop=c.b,
            pole=pole,
            size=_size(c),
            area_mm2=c.area_mm2,
            colour=colour,
            insulation=f"{cable.insulation_degC:g} °C" if cable.insulation_degC is not None else "",
            length_m=c.length_m,
            allowance_m=allowance_m,
            cut_m=cut_m,
            lug_a=lug_a,
            lug_b=lug_b,
            label=self.label(c, pole),
            route=c.route,
            mass_kg=self.mass(c, cut_m),
            piece=c.run if cable.cores > 1 else c.id,
            cable=cable.text,
            cores=cable.cores,
            role=run.role,
            stud_a_mm=stud_a,
            stud_b_mm=stud_b,
            torque_a_Nm=torque_a,
            torque_b_Nm=torque_b,
            colour_from_file=from_file,
            made=made,
        )

    def mass(self, c: Conductor, cut_m: float | None) -> float | None:
        if c.area_mm2 is None or cut_m is None:
            return None
        density, sheath = find("constants/copper-density").value, find("constants/sheath-mass").value
        return conductor_kg(sheath, c.area_mm2, cut_m, density)

    def pole(self, c: Conductor) -> str:
        found = {self.poles.get(t, "") for t in (c.a, c.b)} - {""}
        return next(iter(found)) if len(found) == 1 else ""

    def regime(self, terminal: str) -> str:
        place = self.rig.host.places.get(self.graph.terminals[terminal].place)
        return place.regime if place else ""

    def label(self, c: Conductor, pole: str) -> str:
        """Source-destination-polarity-serial, the same at both ends."""
        letter = _ROLE_LETTERS.get(c.role) or LETTERS.get(pole, pole) or "X"
        a, b = (self.owner(t) for t in (c.a, c.b))
        self.serial[a, b, letter] += 1
        return f"{a}-{b}-{letter}-{self.serial[a, b, letter]}"

    def owner(self, terminal: str) -> str:
        there = self.graph.terminals[terminal]
        if there.owner in self.rig.runs:  # a plug is named by what it plugs into
            run = self.rig.runs[there.owner]
            return (run.start if there.port.endswith(".from") else run.stop).partition(".")[0]
        return there.owner

    def end(self, c: Conductor, terminal: str) -> tuple[str, float | None, float | None]:
        """What is crimped on at a terminal, its stud in millimetres and its torque."""
        there = self.graph.terminals[self.studs.get(terminal, terminal)]
        if there.owner in self.rig.runs:
            return "plug", None, None
        part = self.rig.parts.get(there.owner)
        if there.is_metal or part is None:
            return ("stud ?" if there.is_metal else "terminal ?"), None, None
        if part.kind.name == "module" or part.strings:
            return "PV connector", None, None
        if there.port_role not in _POWER_ROLES or c.pole in ("L", "L1", "L2", "N"):
            return "terminal ?", None, None
        stud, torque = part.figure("stud"), known(part.figure("torque"))
        if isinstance(stud, NotThere):
            return "bare end or ferrule", None, torque.value if torque else None
        if not isinstance(stud, Figure):
            return "stud ?", None, torque.value if torque else None
        mm = stud.value * 1000.0
        return f"ring {_one_size(c)} {stud_name(mm)}".replace("  ", " "), mm, torque.value if torque else None


def _take_offs(rig: Rig) -> dict[str, str]:
    """Take-off of a bank -> the post or device end that it is."""
    table = ports_of(rig.parts, rig.use.loads, rig.metal.values())
    out: dict[str, str] = {}
    for group in rig.parts.values():
        if not is_group(group) or group.strings or (group.join and group.join.how == "busbars"):
            continue
        batteries = members(group, rig.parts)
        first, last = batteries[0], batteries[-1]
        minus_at = (
            last if group.join and (group.join.how == "series" or group.join.takeoff == "diagonal") else first
        )
        for pole, at in (("+", first), ("-", minus_at)):
            device = own_device(at, rig.parts) if pole == "+" else None
            outlet = main_outlet(at, table)
            if device is not None:
                out[f"{group.id}.{pole}"] = f"{device.id}.load"
            elif outlet is not None:
                out[f"{group.id}.{pole}"] = outlet.terminals[outlet.poles.index(pole)]
    return {k: v for k, v in out.items() if v in table.terminals}


def stud_name(mm: float) -> str:
    """A stud as the trade says it: M8, or 3/8 in where it is no whole millimetre.

    >>> stud_name(8.0), stud_name(9.525)
    ('M8', '3/8 in')
    """
    if abs(mm - round(mm)) < 0.05:
        return f"M{round(mm)}"
    sixteenths = round(mm / _INCH_mm * 16)
    top, bottom = sixteenths, 16
    while top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    return f"{top}/{bottom} in"


def _one_size(c: Conductor) -> str:
    return (
        f"{c.cable.size} {c.cable.system}".strip()
        if c.cable.size
        else (f"{c.area_mm2:g} mm2" if c.area_mm2 else "")
    )


def _size(c: Conductor) -> str:
    one = _one_size(c) or "size ?"
    return f"{c.cable.cores} x {one}" if c.cable.cores > 1 else one


def is_counted(part: Part) -> bool:
    """True for a thing one can hold that is ours: no group as written, no supply of somebody else."""
    return not is_group(part) and part.words.get("own") not in ("no", "false")
