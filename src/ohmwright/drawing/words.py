"""What is lettered at parts and runs: references, ratings, size, length, drop.  One builder for every label."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from ohmwright.circuit.types import Solution
from ohmwright.drawing.lettering import plain
from ohmwright.drawing.view import View, Wire
from ohmwright.rig.model import Cable, Load, Part, Rig
from ohmwright.rig.ports import is_group
from ohmwright.working import Figure, known
from ohmwright.working.quickly import quickly_made

NB = "\u00a0"
#: A drop below this part of the system voltage stands only in the schedule.
SHOWN_FROM_RATIO = 0.005
#: A circuit of fewer volts has none to be compared with.
LEAST_V = 1.0

#: Colours of insulation as IEC 60757 writes them (from memory).
COLOUR_CODES: dict[str, str] = {
    "red": "RD", "black": "BK", "white": "WH", "green": "GN", "yellow": "YE", "blue": "BU", "brown": "BN", "grey": "GY", "orange": "OG",
    "violet": "VT", "pink": "PK", "light-blue": "LBU", "green-yellow": "GNYE", "red-black": "RDBK", "red-white": "RDWH", "white-black": "WHBK",
    "natural": "NAT",
}  # fmt: skip

_CHEMISTRY = {
    "lfp": "LFP",
    "agm": "AGM",
    "gel": "gel",
    "flooded": "flooded lead-acid",
    "start": "start battery",
}


def short(value: float, unit: str) -> str:
    """A rating as a sheet letters it, figure and unit never parted.

    >>> short(20000, "A"), short(0.05, "V"), short(12.8, "V")
    ('20\\xa0kA', '50\\xa0mV', '12.8\\xa0V')
    """
    for symbol, factor, least in (
        (("kA", 1e3, 1e3),)
        if unit == "A"
        else (("mV", 1e-3, 0.0),)
        if unit == "V" and value < 0.5
        else (("kVA", 1e3, 1e3),)
        if unit == "VA"
        else ()
    ):
        if value >= least:
            return f"{value / factor:.4g}{NB}{symbol}"
    return f"{value:.4g}{NB}{unit}"


def size_of(cable: Cable, cores: int) -> str:
    """`2 × 10 AWG`, `35 mm² CCA`, `?` when nobody knows."""
    if not cable.size:
        return "maker's lead" if "maker's lead" in cable.words else "size ?"
    unit = "mm²" if cable.system == "mm2" else cable.system
    told = f"{cable.size}{NB}{unit}"
    if cores > 1:
        told = f"{cores}{NB}×{NB}{told}"
    return told + (f"{NB}CCA" if cable.material == "cca" else "")


@quickly_made
@dataclass(frozen=True, slots=True)
class RunWords:
    """The lettering of a run: reference, size and colour, length and drop."""

    first: str
    size: str
    second: str


@dataclass(frozen=True)
class Drops:
    """What the solved case says of each wire, as part of the voltage it works at."""

    solution: Solution | None
    view: View
    _volts_of: dict[str, float | None] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def _lost_V(self) -> dict[str, float]:
        """By conductor the volts that it loses, where that is told."""
        if self.solution is None:
            return {}
        runs, unsolved = self.solution.conductors, frozenset(self.solution.unsolved)
        return {c: lost for c, lost in zip(runs, runs.drop_V.tolist(), strict=True) if c not in unsolved}

    def shown_ratio(self, wires: tuple[Wire, ...]) -> float | None:
        """The drop of these wires together over the volts of their circuit; None when it is not told or too small to be shown."""
        total = 0.0
        for wire in wires:
            for c in [c for c in wire.conductors if c.pole != "PE"] or wire.conductors:
                lost = self._lost_V.get(c.id)
                if lost is None:
                    return None
                total += lost
        if total < SHOWN_FROM_RATIO * LEAST_V:
            return None
        for wire in wires:
            if wire.id not in self._volts_of:
                self._volts_of[wire.id] = self._volts(wire)
            if volts := self._volts_of[wire.id]:
                return total / volts if total / volts >= SHOWN_FROM_RATIO else None
        return None

    def _volts(self, wire: Wire) -> float | None:
        assert self.solution is not None
        best = 0.0
        for end in (wire.a, wire.b):
            for _, terminal in end.nodes:
                node = self.solution.nodes.get(terminal)
                if node is None:
                    continue
                for other in self.view.terminals_of[end.owner]:
                    here, there = self.view.graph.terminals[terminal], self.view.graph.terminals[other]
                    if (
                        other != terminal
                        and here.port == there.port
                        and (partner := self.solution.nodes.get(other)) is not None
                    ):
                        best = max(best, abs(node.volts - partner.volts))
                best = max(best, abs(node.volts))
        return best if best > LEAST_V else None


def run_words(view: View, drops: Drops, wires: tuple[Wire, ...]) -> RunWords:
    """The lettering of a run from its wires (one, or the two conductors of a DC cable)."""
    wire = wires[0]
    run = view.rig.runs[wire.run]
    cores = len(wire.conductors) if wire.ac else len(view.run_pairs[wire.run])
    colour = COLOUR_CODES.get(run.cable.colour, "")
    size = " ".join(w for w in (size_of(run.cable, cores), colour) if w)
    length = wire.conductors[0].length_m
    told = f"{length:.3g}{NB}m" if length is not None else f"?{NB}m"
    ratio = drops.shown_ratio(wires)
    if ratio is not None:
        told += f"  {ratio * 100:.1f}{NB}%"
    role = run.role if run.role in ("bond", "earth") else ""
    if run.part_of and run.id.endswith("branch"):
        return RunWords("", size, told)
    return RunWords(plain(short_id(wires)), size, " ".join(w for w in (told, role) if w))


def short_id(wires: tuple[Wire, ...]) -> str:
    """The reference lettered at a wire: the run's, or the conductor's own for links and leads of a group."""
    run = wires[0].run
    return run if len(wires) > 1 or wires[0].ac or wires[0].id == run else wires[0].id if "." in run else run


def _get(part: Part, name: str, unit: str) -> str:
    figure = known(part.figure(name))
    return short(figure.value, unit) if figure else ""


def _interrupt(part: Part) -> str:
    figure = known(part.figure("interrupt"))
    if not isinstance(figure, Figure):
        return ""
    condition = figure.condition.replace(" ", NB)
    return " ".join(w for w in (short(figure.value, "A"), condition) if w)


def _join(*words: str) -> str:
    return " ".join(w for w in words if w)


def _protective(part: Part) -> list[str]:
    cls = part.word("class")
    first = _join(
        "" if cls in ("", "unknown") else cls.replace("class-t", "class\u00a0T").replace("-", " "),
        _get(part, "rated", "A") or "? A",
    )
    poles = part.word("poles")
    volts = _get(part, "voltage", "V")
    kind = part.kind.name
    if kind == "fuse":
        return [first, _interrupt(part) or _join("breaks ?", volts)]
    current = "AC" if part.word("current") == "ac" else "DC"
    lines = [_join(first, volts and f"{volts}{NB}{current}"), _interrupt(part)]
    if poles and poles != "1":
        lines.append(f"{poles}-pole")
    return lines


def _residual(part: Part) -> list[str]:
    residual = known(part.figure("residual")) or known(part.figure("residual_current"))
    trip = f"{residual.value * 1000:.3g}{NB}mA" if residual else ""
    kind = (part.word("type") or part.word("residual_type")).removeprefix("class-")
    return [
        _join(_get(part, "rated", "A"), trip),
        _join(
            f"type {kind.upper()}" if kind and kind != "unknown" else "type ?",
            f"{part.word('poles')}-pole" if part.word("poles") else "",
        ),
    ]


def modules_of(rig: Rig, array: Part) -> tuple[Part, ...]:
    """The modules of an array, string by string."""
    names = (
        f"{array.id}.{s}.{k}" for s in range(1, array.strings + 1) for k in range(1, array.per_string + 1)
    )
    return tuple(rig.parts[n] for n in names if n in rig.parts)


def _mixed(part: Part, modules: Sequence[Part]) -> list[str]:
    """An array whose modules differ: each sort with its count, and what is printed on each."""
    sorts: dict[str, list[Part]] = {}
    for module in modules:
        sorts.setdefault(module.record.id, []).append(module)
    counts = " + ".join(_join(f"{len(same)}{NB}×", _get(same[0], "power", "W")) for same in sorts.values())
    each = [same[0] for same in sorts.values()]
    return [
        f"{part.per_string}s{part.strings}p {counts}",
        "Voc " + " / ".join(_get(m, "open_circuit", "V") or "?" for m in each),
        "Isc " + " / ".join(_get(m, "short_circuit", "A") or "?" for m in each),
    ]


def _array(part: Part) -> list[str]:
    lines = (
        [
            f"{part.per_string}s{part.strings}p",
            _join(f"{part.per_string * part.strings}{NB}×", _get(part, "power", "W")),
        ]
        if part.strings
        else [_get(part, "power", "W")]
    )
    return [
        " ".join(lines),
        _join("Voc", _get(part, "open_circuit", "V")),
        _join("Isc", _get(part, "short_circuit", "A")),
    ]


def _battery(part: Part) -> list[str]:
    each = _join(_get(part, "nominal_voltage", "V"), _get(part, "capacity", "Ah"))
    count = f"{part.count}{NB}× " if part.count > 1 else ""
    lines = [count + (each or "plate not read")]
    chemistry = _CHEMISTRY.get(part.word("chemistry"), "")
    if chemistry:
        lines.append(chemistry)
    join = part.join
    if join is not None and part.count > 1:
        cable, what = (join.lead, "leads") if join.how == "busbars" else (join.link, "links")
        length = known(join.lead_length if join.how == "busbars" else join.link_length)
        if cable is not None:
            lines.append(
                _join(f"{what} {size_of(cable, 1)}", f"{length.value:.3g}{NB}m" if length else f"?{NB}m")
            )
        if join.takeoff:
            lines.append(f"take-off {join.takeoff.replace('-', ' ')}")
    return lines


def _inverter(part: Part) -> list[str]:
    power = _get(part, "apparent_power", "VA") or _get(part, "power", "W")
    return [
        _title(part),
        _join(_get(part, "dc_nominal", "V"), power),
        _join(_get(part, "ac_voltage", "V"), _get(part, "frequency", "Hz")),
        _bond_words(part),
    ]


def _bond_words(part: Part) -> str:
    """What joins neutral and earth at an inverter's output."""
    setting = part.word("ground_relay")
    relay = {"enabled": "N–PE relay", "disabled": "N–PE relay off"}.get(setting, "N–PE relay ?")
    kinds = {"relay": relay, "fitted": "N–PE joined", "none": "no N–PE join"}
    return kinds.get(part.word("ac_out_bond"), "N–PE join ?")


def _title(part: Part) -> str:
    return part.kind.title.split(",")[0]


def _controller(part: Part) -> list[str]:
    return [
        "PV controller" + (" PWM" if part.kind.name.endswith("pwm") else ""),
        _join(_get(part, "output_current", "A"), _get(part, "max_pv_voltage", "V")),
    ]


def _dcdc(part: Part) -> list[str]:
    apart = {"yes": "isolated", "no": "common minus"}.get(part.word("isolated"), "")
    return [_title(part).replace(" to ", "-"), _get(part, "output_current", "A"), apart]


def _bar(part: Part) -> list[str]:
    studs = known(part.figure("studs"))
    n = f"{studs.value:.0f}" if studs else part.word("stud_count")
    return [
        _join(
            _title(part),
            _get(part, "rated", "A") + ("," if n and _get(part, "rated", "A") else ""),
            f"{n}{NB}studs" if n else "",
        )
    ]


def _plain(part: Part) -> list[str]:
    return [_title(part), _join(_get(part, "rated", "A"), _get(part, "voltage", "V"))]


def _supply(part: Part) -> list[str]:
    return [
        _title(part),
        _join(
            _get(part, "rated", "A") or _get(part, "current", "A"),
            _get(part, "ac_voltage", "V") or _get(part, "voltage", "V"),
        ),
    ]


_BY_KIND: dict[str, Callable[[Part], list[str]]] = {
    "fuse": _protective, "breaker": _protective, "pv-disconnect": _protective, "battery-switch": _protective, "switch": _protective,
    "rcd": _residual, "rcbo": _residual, "module": _array, "battery": _battery, "inverter": _inverter, "inverter-charger": _inverter,
    "pv-controller": _controller, "pv-controller-pwm": _controller, "dcdc-charger": _dcdc, "dcdc-supply": _dcdc, "busbar": _bar,
    "earth-bar": _bar, "shunt": lambda p: [_join("shunt", _get(p, "rated", "A")), _get(p, "millivolts", "V")], "supply-post": _supply,
    "shore-inlet": _supply,
}  # fmt: skip


def part_lines(part: Part, home: str = "", rig: Rig | None = None) -> list[str]:
    """The rating lines of a part, and where it sits when that is not `home`; with its `rig`, an array tells its modules apart."""
    modules = modules_of(rig, part) if rig is not None else ()
    told = (
        _mixed(part, modules)
        if len({m.record.id for m in modules}) > 1
        else _BY_KIND.get(part.kind.name, _plain)(part)
    )
    lines = [plain(line) for line in told if line.strip()]
    if part.record.bare and not is_group(part):
        lines.append("no plate")
    if part.place and part.place != home:
        lines.append(f"at {plain(part.place)}")
    return lines


def load_lines(load: Load) -> list[str]:
    """What a load takes: its power, else its energy a day."""
    for figures, unit in ((load.power, "W"), (load.energy, "Wh/day")):
        told = []
        for label, given in figures.items():
            figure = known(given)
            value = (
                f"{figure.value:.4g}{NB}{figure.unit if figure.unit in ('VA', 'W') else unit}"
                if figure
                else f"?{NB}{unit}"
            )
            told.append(_join(value, label))
        if told:
            return told[:2]
    return ["? W"]
