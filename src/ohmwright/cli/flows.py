"""ohmwright flows."""

from pathlib import Path

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import figure, say, table


@click.command("flows")
@click.argument("rig")
@click.option("--case", "case", help="One operating case by name.")
@click.option(
    "--spice",
    "spice",
    type=click.Path(dir_okay=False),
    help="Write a netlist of the case for a general circuit simulator.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def flows_command(rig: str, case: str | None, spice: str | None, as_json: bool) -> None:
    """Currents, voltages, losses and shares by operating case, and prospective faults, as schedules.

    \b
    Example:
        ohmwright flows larkspur --case night
    """
    from ohmwright.services import flows as service
    from ohmwright.services.opening import open_study

    opened, study = open_study(rig)
    names = service.case_names(study, case)
    if spice:
        Path(spice).write_text(service.spice(study, case), encoding="utf-8")
        click.echo(f"netlist of case {names[0]} written to {spice}", err=as_json)
    if as_json:
        print_json(service.flows_json(opened, study, case))
        return
    for name in names:
        s = study.solution(name)
        click.echo(f"{name}: {s.case.title}" if s.case.title else name)
        if not s.converged:
            say("    does not carry this load: the voltage collapses")
        if s.collapse_margin is not None:
            click.echo(f"    collapse margin {s.collapse_margin:.3g}")
        for b, a in s.batteries.items():
            click.echo(
                f"    {b}: {a.current_A:+.1f} A"
                + (f", share {100 * a.share:.1f} %" if a.share is not None else "")
            )
        for line in s.story:
            say("    " + line)
        busy = {k: r for k, r in s.conductors.items() if abs(r.current_A) >= 0.05}
        if case and busy:
            rows = [
                (
                    k,
                    study.graph.conductors[k].a,
                    study.graph.conductors[k].b,
                    figure(r.current_A),
                    figure(r.drop_V),
                    figure(r.loss_W),
                )
                for k, r in busy.items()
            ]
            table(("run", "from", "to", "A", "drop V", "W"), rows, right="...rrr")
    click.echo("")
    faults = [
        (
            t,
            figure(f.max_A and f.max_A / 1000),
            figure(f.min_A and f.min_A / 1000),
            ", ".join(f"{k} {v / 1000:.3g}" for k, v in list(f.from_A.items())[:4]),
        )
        for t, f in study.faults.items()
    ]
    table(("bolted fault at", "max kA", "min kA", "from, kA"), faults, right=".rr.")
