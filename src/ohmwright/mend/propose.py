"""The whole of it: a rig text in, the smallest proved set of changes out."""

from collections.abc import Callable
from dataclasses import replace

from ohmwright.checks.types import Finding
from ohmwright.mend.hands import hands_of
from ohmwright.mend.search import Search
from ohmwright.mend.shop import Shop
from ohmwright.mend.trial import Trials, is_open, untold
from ohmwright.mend.types import Mended, Proposed
from ohmwright.rig.read import read_rig
from ohmwright.shelf.record import Shelf
from ohmwright.study import Study


def mend(
    text: str, file: str, shelf: Shelf, today: str, heed: Callable[[int, str], None] | None = None
) -> Mended:
    """Propose changes that clear what the rules found in a rig file, from what is on the shelf.

    `heed` is called before each trial with its number and the finding in hand; what it raises ends the work.
    """
    rig = read_rig(text, file, shelf)
    trials = Trials(file, shelf, today, heed)
    root = trials.draft(text)
    assert root is not None
    shop = Shop(shelf, rig)
    search = Search(trials, shop, root)
    search.run()
    after = search.draft.findings
    return Mended(
        search.draft.text,
        tuple(replace(p, where=_where(p, search.draft.study, root.study)) for p in search.taken),
        root.findings,
        after,
        _cleared(root.findings, after),
        tuple(f for f in after if is_open(f) or untold(f)),
        hands_of(after, search.taken),
        shop.currency,
        trials.count,
    )


def _where(p: Proposed, *studies: Study) -> str:
    """The place of a part, or the places that a run leads from and to: as the rig is afterwards, else as it was."""
    for study in studies:
        name = p.change.address.removeprefix("settings.").partition(".")[0]
        for one in (*p.change.touches[:1], name):
            run, part = study.rig.runs.get(one), study.rig.parts.get(one)
            ends = [study.graph.terminals[t].place for c in run.cores[:1] for t in (c.a, c.b)] if run else []
            places = [part.place] if part is not None else ends
            if any(places):
                return " - ".join(dict.fromkeys(x for x in places if x))
    return ""


def _cleared(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Open findings that are gone; one about which the same rule now cannot tell is not."""
    still = {(f.rule, f.subject, f.message) for f in after if is_open(f)}
    kept = {(f.rule, f.subject) for f in after if is_open(f)}
    asked = {(f.rule, f.subject) for f in after if f.verdict == "cannot-tell"}
    return tuple(
        f
        for f in before
        if is_open(f)
        and (f.rule, f.subject) not in asked
        and (f.rule, f.subject, f.message) not in still
        and ((f.rule, f.subject) not in kept or _several(f, before))
    )


def _several(finding: Finding, findings: tuple[Finding, ...]) -> bool:
    return sum((f.rule, f.subject) == (finding.rule, finding.subject) for f in findings) > 1
