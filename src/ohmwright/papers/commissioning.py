"""The commissioning form: tests in working order, with what the model expects and room for what was read."""

from ohmwright.papers.doc import Block, Cell, Column, Doc, Fields, Heading, Table, Text
from ohmwright.papers.expected import ROWS
from ohmwright.papers.keeping import torques
from ohmwright.papers.material import Material

#: The order of work; 43 stands before the inverter is first switched on, 19b behind 19.
ORDER = (
    *map(str, range(1, 18)), "43", "18", "19", "19b", *map(str, range(20, 33)), "45", *map(str, range(33, 40)),
    "41", "42", "44", "46", "47", "48", "40",
)  # fmt: skip


def commissioning_form(m: Material) -> Doc:
    """Every test that this rig has, each with its rows; those it does not have are named."""
    w = m.words
    rows: list[tuple[Cell, ...]] = []
    left_out: list[str] = []
    for test in ORDER:
        subjects = list(ROWS[test](m)) if test in ROWS else [("", "")]
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
        Table(columns, tuple(rows), size="small", ruled=True),
    ]
    blocks += [Heading(w.say("tests.torques"), 2), torques(m)]
    if left_out:
        blocks += [Heading(w.say("tests.not-here"), 2), Text("; ".join(left_out))]
    blocks += [
        Heading(w.say("tests.signed"), 2),
        Fields(tuple((x, "") for x in w.all("tests.sign-fields")), 2),
    ]
    return m.doc("tests", blocks, lying=True)
