"""ohmwright check."""

from typing import TYPE_CHECKING

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import CAUTION, entry, say

if TYPE_CHECKING:
    from ohmwright.checks.types import Finding
    from ohmwright.services.check import Checked

WORDS = {"danger": "DANGER", "fails": "FAILS", "disappoints": "DISAPPOINTS", "note": "NOTE"}


@click.command("check")
@click.argument("rig")
@click.option("--deep", is_flag=True, help="Run the energy year first, so that rules that need it speak.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
@click.option("--all", "everything", is_flag=True, help="Show passes and skips too.")
def check_command(rig: str, deep: bool, as_json: bool, everything: bool) -> int:
    """Apply the design rules of the rig's rule set.

    Exit 1 when a danger or a fails fails, or a danger cannot be told.

    \b
    Example:
        ohmwright check larkspur
    """
    from ohmwright.services import check as service

    done = service.check(rig, deep=deep)
    if as_json:
        print_json(service.check_json(done))
    else:
        _tell(done, everything)
        if done.study.year is not None:
            say(f"Rules of the year rest on {done.study.year.years} made years of weather.")
    return 1 if done.open else 0


def _alike(findings: "list[Finding]") -> "list[list[Finding]]":
    """Findings that say the same of several subjects, told once."""
    groups: dict[tuple[str, str, str, str], list[Finding]] = {}
    for f in findings:
        groups.setdefault((f.rule, f.severity, f.verdict, f.message), []).append(f)
    return list(groups.values())


def _tell(done: "Checked", everything: bool) -> None:
    from ohmwright.checks.engine import group_cannot_tells

    for same in _alike([f for f in done.findings if f.verdict in ("fail", "warn")]):
        f = same[0]
        word = WORDS[f.severity] if f.verdict == "fail" else "WARN"
        tail = "  (rests on unverified figures)" if any(g.origin_unverified for g in same) else ""
        entry(
            f"{word}  {f.number}  {', '.join(g.subject for g in same)}  [{f.rule}]",
            f.message,
            f"Remedy: {f.remedy}" if f.remedy else "",
            (f"Clause: {f.clause}" + tail) if f.clause else tail.strip(),
        )
    silent = group_cannot_tells(done.findings)
    if silent:
        click.echo("")
        click.echo("CANNOT TELL, by what is missing:")
        for address, rules in silent.items():
            click.echo(f"    {address}: settles {', '.join(rules)}")
    for f in done.findings:
        if f.verdict == "overridden" and f.override:
            entry(
                f"OVERRIDDEN  {f.number}  {f.subject}  ({WORDS[f.severity]})",
                f.message,
                f"By {f.override.get('by', '?')}, {f.override.get('dated', '?')}: {f.override.get('why', '')}",
            )
    if everything:
        for f in done.findings:
            if f.verdict in ("pass", "skip"):
                click.echo(f"{f.verdict:5}  {f.number:4} {f.subject}: {f.message}")
    click.echo("")
    counts = {
        v: sum(f.verdict == v for f in done.findings)
        for v in ("fail", "warn", "cannot-tell", "overridden", "pass", "skip")
    }
    say(", ".join(f"{n} {v}" for v, n in counts.items()) + ".")
    say(done.statement())
    if done.not_applied:
        say(
            f"{len(done.not_applied)} rules of the catalogue are not applied: "
            + ", ".join(n for n, _ in done.not_applied)
            + "."
        )
    say(CAUTION)
