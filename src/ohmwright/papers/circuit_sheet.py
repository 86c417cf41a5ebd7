"""The circuit as drawn: sheets with the findings as flags."""

from dataclasses import replace

from ohmwright.checks.types import Finding
from ohmwright.drawing.frame import Follow, Title
from ohmwright.drawing.further import all_further
from ohmwright.drawing.lettering import Turn, lettered_in, plain
from ohmwright.drawing.marks import Mark
from ohmwright.drawing.one_line import Circuit, circuit_sheets
from ohmwright.drawing.shapes import Sheet
from ohmwright.papers.doc import MINUS
from ohmwright.papers.material import Material
from ohmwright.papers.phrases import told_sheet
from ohmwright.papers.units import lettering


def sheets_of(
    m: Material, changed: tuple[str, ...] = (), follows: tuple[Follow, ...] = ()
) -> tuple[Sheet, ...]:
    """The sheets of the circuit; what is `changed` bears the revision triangle, what `follows` stands over the title block."""
    case = next(iter(m.study.cases), None)
    solution = m.study.solution(case) if case is not None else None
    title = replace(_title(m), revision=m.revision) if changed else _title(m)
    with lettered_in(_turn(m)):
        made = circuit_sheets(Circuit(m.rig, m.study.graph, solution, marks_of(m), title, follows, changed))
    return tuple(told_sheet(s, m.words, m.rig) for s in made)


def sheets_before(m: Material, removed: tuple[str, ...]) -> tuple[Sheet, ...]:
    """The sheets of an old state on which something is taken out, with ticks across it."""
    if not removed:
        return ()
    title = replace(_title(m), sheet=m.words.say("circuit.before"), note=m.words.say("circuit.what-goes"))
    with lettered_in(_turn(m)):
        made = circuit_sheets(Circuit(m.rig, m.study.graph, title=title, removed=removed))
    mine = [s for s in made if any(z == a or z.startswith(f"{a}.") for a in removed for z in s.zones)]
    return tuple(told_sheet(s, m.words, m.rig) for s in mine)


def further_of(m: Material) -> tuple[tuple[str, tuple[Sheet, ...]], ...]:
    """The further drawings by name, in the order of the binder."""
    with lettered_in(_turn(m)):
        made = tuple(all_further(m.rig, m.study.graph, _title(m)))
    return tuple((name, tuple(told_sheet(s, m.words, m.rig) for s in sheets)) for name, sheets in made)


def _turn(m: Material) -> Turn | None:
    """Language and units of the lettering. What the file calls the job stays as it is written."""
    said = m.phrases.said if m.words.sentences else None
    return lettering(m.units.us, {plain(m.rig.job.title)}, said)


def _title(m: Material) -> Title:
    """What the title block of every drawing says."""
    head = m.head("circuit")
    return Title(
        job=head.job,
        host=m.rig.host.kind,
        sheet=head.paper,
        note=m.words.say("circuit.convention"),
        revision=head.revision,
        stage=head.stage,
        rules=head.rules,
        date=m.dated,
        drawn=m.rig.job.words.get("designer", ""),
        sha256=m.rig.sha256,
    )


def marks_of(m: Material) -> tuple[Mark, ...]:
    """A flag for every finding that is open."""
    return tuple(_mark(m, f) for f in m.findings if f.verdict in ("fail", "cannot-tell", "overridden"))


def _mark(m: Material, f: Finding) -> Mark:
    word = (
        f.severity.upper()
        if f.verdict == "fail"
        else "CANNOT TELL"
        if f.verdict == "cannot-tell"
        else "OVERRIDDEN"
    )
    return Mark(
        f.subject,
        f.number,
        word,
        MINUS.sub("−", m.said(f.message)),
        MINUS.sub("−", m.said(f.remedy)),
        f.severity if word == "OVERRIDDEN" else "",
    )
