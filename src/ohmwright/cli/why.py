"""ohmwright why."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import say

if TYPE_CHECKING:
    from ohmwright.checks.types import Finding
    from ohmwright.energy.reckoned import Reckoned
    from ohmwright.services.lines import Lines
    from ohmwright.services.why import Why
    from ohmwright.working import Step


@click.command("why")
@click.argument("rig")
@click.argument("what", metavar="RULE|FIGURE")
@click.argument("subject", required=False)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def why_command(rig: str, what: str, subject: str | None, as_json: bool) -> None:
    """Derive a verdict or a figure, step by step, with the origin of every number.

    \b
    Example:
        ohmwright why larkspur A1 M
        ohmwright why larkspur M.open_circuit
        ohmwright why larkspur year/sun week-12
        ohmwright why larkspur run/drop W12

    \b
    Figures that no rule judges:
        year/sun, year/wants, year/carried, year/unserved, year/nights-lost of
            year, month-3, week-12, stay-1, day-03-19, hour-03-19-12;
            year/worst-week, year/ledger LINE, year/promise NAME
        made/nights-lost, made/nights-lost-in week-12, made/bought, made/sizes,
            made/promise NAME, made/worst-week: of 64 made years
        many/unserved, many/array, many/curtailed, many/nights-lost,
            many/promise NAME: of as many made years as a change order
        run/current RUN, run/drop RUN; place/heat, place/air, place/flow PLACE;
            shade/lost ARRAY; string/power, string/home-run-drop ARRAY;
            parts/price, parts/mass, host/aboard, cable/price, cable/to-cut SIZE
    """
    from ohmwright.services import reckon
    from ohmwright.services import why as service
    from ohmwright.services.lines import Lines

    if reckon.is_reckoned(what):
        opened, told = reckon.reckoned(rig, what, subject)
        if as_json:
            print_json(reckon.reckoned_json(opened, told))
        else:
            _tell_reckoned(told, Lines(opened.rig))
        return
    done = service.why(rig, what, subject)
    if as_json:
        print_json(service.why_json(done))
        return
    if done.finding is None:
        _tell_figure(done)
    else:
        _tell(done, done.finding)


def _tell_figure(done: "Why") -> None:
    from ohmwright.working import Figure, number

    f = done.figure
    click.echo(
        f"{done.address} = {number(f.value)} {f.unit}, {f.origin}"
        if isinstance(f, Figure)
        else f"{done.address}: {type(f).__name__.lower()}"
    )
    for u in done.used_by:
        click.echo(f"    used by {u.number} {u.rule} on {u.subject}: {u.verdict}")


def _tell_reckoned(told: "Reckoned", lines: "Lines") -> None:
    unit = f" {told.unit}" if told.unit != "1" else ""
    click.echo(f"{told.title}: {told.value:.6g}{unit}" if told.steps else told.title)
    for words in told.says:
        say(words)
    _tell_steps(told.steps, lines)
    for one in told.lists:
        click.echo("")
        click.echo(f"  {one.caption}")
        table = [one.columns, *((r.name, *r.cells) for r in one.rows)]
        wide = [max(len(line[k]) for line in table) for k in range(len(one.columns))]
        asks = [f"   {one.rows[0].ask.what} ..."] if one.rows and one.rows[0].ask else [""]
        asks += [f"   {r.ask.subject or r.ask.what}" if r.ask else "" for r in one.rows]
        for line, further in zip(table, asks, strict=True):
            cells = [line[0].ljust(wide[0]), *(c.rjust(w) for c, w in zip(line[1:], wide[1:], strict=True))]
            click.echo("    " + "  ".join(cells) + further)
    for words, ask in told.also:
        say(f"{words}: {ask}")


def _tell_steps(steps: "Sequence[Step]", lines: "Lines") -> None:
    from ohmwright.working import number

    shown: list[Step] = []
    for last in steps:
        shown += [s for s in last.chain() if s not in shown]
    for s in shown:
        click.echo("")
        click.echo(f"  {s.symbol} = {s.formula}")
        click.echo(
            f"  {s.symbol} = {s.substituted} = {s.value:.6g} {s.unit if s.unit != '1' else ''}".rstrip()
        )
        for i in s.inputs:
            origin = (
                f"from the step above: {i.step.symbol}"
                if i.step
                else f"{i.origin.by if i.origin.kind == 'computed' and i.origin.by else i.origin}{', ' + i.address if i.address and i.address != i.origin.tag else ''}"
            )
            click.echo(
                f"      {i.symbol} = {number(i.value)} {i.unit if i.unit != '1' else ''}".rstrip()
                + f"   {origin}"
                + (f", line {line}" if (line := lines.of(i.address)) else "")
            )
        if s.clause or s.note:
            click.echo("      " + "; ".join(w for w in (s.clause, s.note) if w))


def _tell(done: "Why", f: "Finding") -> None:
    from ohmwright.services.lines import Lines
    from ohmwright.working import number, tell

    click.echo(
        f"{f.number} {f.rule} on {f.subject}: {f.verdict}"
        + (f", {f.severity}" if f.verdict != "pass" else "")
    )
    say(f.message)
    _tell_steps(f.steps, Lines(done.checked.opened.rig))
    if f.path:
        click.echo("  path: " + " - ".join(f.path))
    click.echo("")
    if f.limit is not None and f.value is not None:
        click.echo(
            f"  limit {tell(f.limit, f.unit or '1', 5)} ({f.sense}), value {tell(f.value, f.unit or '1', 5)}"
            + (f", margin {100 * f.margin:+.1f} %" if f.margin is not None else "")
        )
    if f.clause:
        click.echo(f"  clause: {f.clause}")
    if f.missing:
        click.echo("  missing: " + ", ".join(f.missing))
    for p in done.flips:
        click.echo(
            f"  turns when {p.address} goes from {number(p.now)} to {p.to:.5g} {p.unit if p.unit != '1' else ''}".rstrip()
        )
    if done.never:
        say("  no value that it can have of " + ", ".join(done.never) + " turns it alone")
    if f.remedy:
        say(f"Remedy: {f.remedy}")
    if done.others:
        say("Also about: " + ", ".join(f"{o.subject} ({o.verdict})" for o in done.others[:12]))
