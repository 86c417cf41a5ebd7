"""The commissioning form: tests in working order, with what the model expects and room for what was read."""

from collections.abc import Callable, Iterator, Mapping

from ohmwright.checks.place.weight import laden_of
from ohmwright.papers.doc import Block, Break, Cell, Column, Doc, Fields, Heading, Points, Table, Text
from ohmwright.papers.material import Material
from ohmwright.rig.model import Part
from ohmwright.rig.ports import is_group
from ohmwright.working import known, number, tell

#: The order of work; 43 stands before the inverter is first switched on, 19b behind 19.
ORDER = [
    "1",
    "2",
    "3",
    "4",
    "5",
    "6",
    "7",
    "8",
    "9",
    "10",
    "11",
    "12",
    "13",
    "14",
    "15",
    "16",
    "17",
    "43",
    "18",
    "19",
    "19b",
    "20",
    "21",
    "22",
    "23",
    "24",
    "25",
    "26",
    "27",
    "28",
    "29",
    "30",
    "31",
    "32",
    "45",
    "33",
    "34",
    "35",
    "36",
    "37",
    "38",
    "39",
    "41",
    "42",
    "44",
    "46",
    "47",
    "48",
    "40",
]

Row = tuple[str, str]
"""A subject and what the model expects of it, "" where only the tester can say."""


def commissioning_form(m: Material) -> Doc:
    """Every test that this rig has, each with its rows; those it does not have are named."""
    w = m.words
    rows: list[tuple[Cell, ...]] = []
    left_out: list[str] = []
    for test in ORDER:
        subjects = list(_ROWS[test](m)) if test in _ROWS else [("", "")]
        if not subjects:
            left_out.append(f"{test} {w.say(f'tests.{test}.what')}")
            continue
        rows.append((f"{test}  {w.say(f'tests.{test}.what')}",))
        for subject, expected in subjects:
            told = " · ".join(x for x in (expected, w.say(f"tests.{test}.expected")) if x)
            rows.append(
                (
                    f"{test}/{subject}" if subject else test,
                    told,
                    w.say(f"tests.{test}.tolerance"),
                    w.say(f"tests.{test}.record"),
                    "",
                    "",
                )
            )
    columns = tuple(
        Column(w.say(f"tests.column.{c}"), part=p)
        for c, p in (
            ("number", 3),
            ("expected", 10),
            ("tolerance", 5),
            ("record", 3),
            ("reading", 5),
            ("by", 4),
        )
    )
    blocks: list[Block] = [
        Text(w.say("tests.what-this-is")),
        m.cautions(
            *(
                "tests-rings",
                "tests-order",
                "array-live",
                "tests-no-load-break",
                "tests-capacitors",
                "tests-insulation",
                "tests-two",
                "tests-extinguisher",
            )
        ),
        Heading(w.say("tests.conditions"), 2),
        Fields(tuple((x, "") for x in w.all("tests.condition-fields")), 3),
        Heading(w.say("tests.instruments"), 2),
        Fields(tuple((x, "") for x in w.all("tests.instrument-fields")), 2),
        Break(),
        Table(columns, tuple(rows), size="small", ruled=True),
    ]
    if left_out:
        blocks += [Heading(w.say("tests.not-here"), 2), Points(tuple(left_out))]
    blocks += [
        Heading(w.say("tests.signed"), 2),
        Fields(tuple((x, "") for x in w.all("tests.sign-fields")), 2),
    ]
    return m.doc("tests", blocks, lying=True)


def strings_of(m: Material) -> Iterator[tuple[str, int, Part]]:
    """Every string: its address, how many modules, and the first of them."""
    for array in m.rig.parts.values():
        for s in range(1, array.strings + 1):
            yield f"{array.id}.{s}", array.per_string, m.rig.parts[f"{array.id}.{s}.1"]


def _number(part: Part, name: str) -> float | None:
    figure = known(part.figure(name))
    return figure.value if figure else None


def _voc(m: Material) -> Iterator[Row]:
    for string, n, module in strings_of(m):
        volts, beta = _number(module, "open_circuit"), _number(module, "beta")
        if volts is None:
            yield string, "?"
        elif beta is None:
            yield string, f"{n} × {number(volts)} V = {n * volts:.1f} V @ 25 °C"
        else:
            yield (
                string,
                f"{n} × {number(volts)} V × (1 + {number(beta)}/100 × (Tc − 25)) = {n * volts:.1f} V @ 25 °C",
            )


def _isc(m: Material) -> Iterator[Row]:
    for string, _, module in strings_of(m):
        amps = _number(module, "short_circuit")
        yield string, "?" if amps is None else f"{number(amps)} A × G/1000"


def _insulation(m: Material) -> Iterator[Row]:
    for string, n, module in strings_of(m):
        volts = _number(module, "open_circuit")
        if volts is None:
            yield string, "?"
        else:
            high = 1.25 * n * volts >= 120
            yield (
                string,
                f"1.25 × {n * volts:.1f} V = {1.25 * n * volts:.0f} V: "
                + ("500 V, ≥ 1 MΩ" if high else "250 V, ≥ 0.5 MΩ"),
            )


def _array_power(m: Material) -> Iterator[Row]:
    watts = [_number(m.rig.parts[f"{s}.{k}"], "power") for s, n, _ in strings_of(m) for k in range(1, n + 1)]
    if watts:
        yield (
            "",
            "?"
            if None in watts
            else f"{sum(x for x in watts if x):.0f} W × G/1000 × (1 + γ/100 × (Tc − 25)) × 0.93 … 0.97",
        )


def _batteries(m: Material) -> Iterator[Row]:
    for p in m.rig.of_kind("battery"):
        volts = _number(p, "nominal_voltage")
        yield p.id, f"{number(volts)} V" if volts is not None else ""


def _inverters(m: Material) -> tuple[Part, ...]:
    return (*m.rig.of_kind("inverter-charger"), *m.rig.of_kind("inverter"))


def _idle(m: Material) -> Iterator[Row]:
    for p in _inverters(m):
        watts, volts = _number(p, "idle"), _number(p, "dc_nominal")
        yield (
            p.id,
            f"{number(watts)} W / {number(volts)} V = {watts / volts:.2f} A"
            if watts is not None and volts
            else "?",
        )


def _output(m: Material) -> Iterator[Row]:
    for p in _inverters(m):
        volts, hertz = _number(p, "ac_voltage"), _number(p, "frequency")
        yield (
            p.id,
            " · ".join(
                (f"{number(volts)} V" if volts else "? V", f"{number(hertz)} Hz" if hertz else "? Hz")
            ),
        )


def _load_steps(m: Material) -> Iterator[Row]:
    for p in _inverters(m):
        name = f"{p.id}-full"
        if name not in m.study.cases:
            continue
        solution = m.study.solution(name)
        if not solution.converged:
            yield p.id, "?"
            continue
        plus, minus = (solution.nodes.get(f"{p.id}.dc.{pole}") for pole in "+-")
        if plus and minus:
            yield p.id, f"100 %: {plus.volts - minus.volts:.2f} V"
        for battery, answer in solution.batteries.items():
            share = f", {100 * answer.share:.0f} %" if answer.share is not None else ""
            yield battery, f"100 %: {abs(answer.current_A):.0f} A{share}"


def _starts(m: Material) -> Iterator[Row]:
    for name, case in m.study.cases.items():
        if case.seconds is not None and name.endswith("-starts"):
            solution = m.study.solution(name)
            for p in _inverters(m):
                plus, minus = (solution.nodes.get(f"{p.id}.dc.{pole}") for pole in "+-")
                if plus and minus and solution.converged:
                    yield name, f"{p.id}: {plus.volts - minus.volts:.2f} V"


def _setting(key: str, unit: str) -> Callable[[Material], Iterator[Row]]:
    def rows(m: Material) -> Iterator[Row]:
        for part, values in m.rig.settings.items():
            given = values.get(key)
            figure = given if given is None or isinstance(given, str) else known(given)
            if figure is not None and not isinstance(figure, str):
                yield part, f"{number(figure.value)} {unit}"

    return rows


def _parts(*kinds: str) -> Callable[[Material], Iterator[Row]]:
    def rows(m: Material) -> Iterator[Row]:
        return ((p.id, "") for p in m.rig.of_kind(*kinds))

    return rows


def _chargers(m: Material) -> Iterator[Row]:
    kinds = ("inverter-charger", "pv-controller", "pv-controller-pwm", "dcdc-charger", "hydro-controller")
    return ((p.id, "") for p in m.rig.of_kind(*kinds))


def _guarded(m: Material) -> Iterator[Row]:
    for p in m.rig.of_kind("rcd", "rcbo"):
        amps = _number(p, "residual")
        yield p.id, tell(amps, "A") if amps else ""


def _cuts(m: Material) -> Iterator[Row]:
    for name, cut in m.rig.cuts.items():
        yield (
            name,
            m.words.say("tests.stays-live", what=", ".join(cut.stays_live) or m.words.say("label.nothing")),
        )


def _weight(m: Material) -> Iterator[Row]:
    if m.rig.host.kind in ("boat", "cabin"):
        return
    laden, _ = laden_of(m.study)
    yield "", f"{m.units.heavy(laden.value):.0f} {m.units.mass}" if laden else "?"


def _only(kind: str) -> Callable[[Material], Iterator[Row]]:
    def rows(m: Material) -> Iterator[Row]:
        if m.rig.host.kind == kind:
            yield "", ""

    return rows


def _with_ac(m: Material) -> Iterator[Row]:
    if any(t.pole in ("L", "L1") for t in m.study.graph.terminals.values()):
        yield "", ""


def _sources(m: Material) -> Iterator[Row]:
    return ((p.id, "") for p in m.rig.of_kind("supply-post", "generator", "inverter-charger", "inverter"))


def _ac_loads(m: Material) -> Iterator[Row]:
    for load in m.rig.use.loads.values():
        if any(t.pole in ("L", "L1") and t.owner == load.id for t in m.study.graph.terminals.values()):
            yield load.id, ""


def _devices_with_settings(m: Material) -> Iterator[Row]:
    return ((part, "") for part in m.rig.settings)


def _each_bonded(m: Material) -> Iterator[Row]:
    return ((r.id, f"{r.start} – {r.stop}") for r in m.rig.runs.values() if r.role in ("bond", "earth"))


def _roof(m: Material) -> Iterator[Row]:
    if m.rig.host.kind != "cabin" and any(p.strings for p in m.rig.parts.values()):
        yield "", ""


def _fed_by_cord(m: Material) -> Iterator[Row]:
    return ((p.id, "") for p in m.rig.of_kind("shore-inlet"))


def _has(*kinds: str) -> Callable[[Material], Iterator[Row]]:
    def rows(m: Material) -> Iterator[Row]:
        if any(not is_group(p) and p.kind.name in kinds for p in m.rig.parts.values()):
            yield "", ""

    return rows


_ROWS: Mapping[str, Callable[[Material], Iterator[Row]]] = {
    "3": _each_bonded, "4": _with_ac, "5": _insulation, "7": _with_ac, "8": _batteries, "9": _voc, "10": _isc, "12": _parts("shunt"),
    "13": _parts("shunt"), "14": _devices_with_settings, "15": _parts("pv-controller", "pv-controller-pwm"), "16": _array_power,
    "17": _parts("pv-controller", "pv-controller-pwm"), "43": _ac_loads, "18": _idle, "19": _output, "19b": _sources, "20": _guarded, "21": _load_steps,
    "23": _starts, "25": _setting("supply-limit", "A"), "26": _setting("charge", "A"), "27": _setting("supply-limit", "A"), "28": _fed_by_cord,
    "29": _parts("generator"), "30": _parts("dcdc-charger"), "31": _has("alternator"), "32": _chargers, "45": _chargers, "33": _has("battery"),
    "35": _parts("shunt"), "37": _weight, "38": _roof, "41": _cuts, "42": _fed_by_cord, "46": _only("boat"),
}  # fmt: skip
