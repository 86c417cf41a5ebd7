"""The first page of the binder: what is in the pack, and what is still to be asked."""

from collections.abc import Sequence
from dataclasses import replace

from ohmwright.papers.doc import Block, Column, Doc, Heading, Table, Text
from ohmwright.papers.material import Material
from ohmwright.rig.questions import open_questions


def contents(m: Material, listed: Sequence[tuple[str, str, str]]) -> Doc:
    """Papers by title, file and fingerprint."""
    w = m.words
    rows = tuple((n, title, file, mark[:12]) for n, (title, file, mark) in enumerate(listed, 1))
    columns = (
        Column(w.say("contents.number"), 0),
        Column(w.say("contents.paper"), part=3),
        Column(w.say("contents.file"), part=3),
        Column(w.say("contents.fingerprint"), part=2),
    )
    blocks: list[Block] = [
        replace(m.code(), corner=True),
        Text(m.statement, "lead"),
        Text(w.say("contents.what-this-is")),
        m.cautions("paper-proves-nothing", "array-live", "bank-energy"),
        Table(columns, rows, size="small"),
        Text(w.say("contents.not-here"), "note"),
    ]
    questions = open_questions(m.rig)
    if questions:
        asked = (
            Column(w.say("contents.figure"), part=3),
            Column(w.say("contents.asked"), part=2),
            Column(w.say("contents.whom"), part=2),
        )
        blocks += [
            Heading(w.say("contents.open-questions")),
            Table(asked, tuple((q.address, q.asked or "–", q.whom) for q in questions)),
        ]
    return m.doc("contents", blocks)
