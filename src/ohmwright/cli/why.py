"""ohmwright why."""

from typing import TYPE_CHECKING

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import say

if TYPE_CHECKING:
    from ohmwright.checks.types import Finding
    from ohmwright.services.why import Why


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
    """
    from ohmwright.services import why as service

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


def _tell(done: "Why", f: "Finding") -> None:
    from ohmwright.working import Step, number, tell

    click.echo(
        f"{f.number} {f.rule} on {f.subject}: {f.verdict}"
        + (f", {f.severity}" if f.verdict != "pass" else "")
    )
    say(f.message)
    shown: list[Step] = []
    for last in f.steps:
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
                else f"{i.origin}{', ' + i.address if i.address and i.address != i.origin.tag else ''}"
            )
            click.echo(
                f"      {i.symbol} = {number(i.value)} {i.unit if i.unit != '1' else ''}".rstrip()
                + f"   {origin}"
            )
        if s.clause or s.note:
            click.echo("      " + "; ".join(w for w in (s.clause, s.note) if w))
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
