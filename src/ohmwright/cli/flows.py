"""ohmwright flows."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import CAUTION, figure, say, table

if TYPE_CHECKING:
    from ohmwright.circuit.cascade import Cascade
    from ohmwright.circuit.types import Fault, Solution
    from ohmwright.study import Study

#: A current below this is no current for a schedule.
SHOWN_A = 0.05


@click.command("flows")
@click.argument("rig")
@click.option("--case", "case", help="One operating case by name, conductor by conductor.")
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
        _case(name, study.solution(name))
        if case:
            _runs(study, study.solution(name))
        click.echo("")
    _cascades(service.cascades(study, case))
    _faults(list(study.faults.values()))
    _alternating(study)
    _clearing(study)
    say("", CAUTION)


def _case(name: str, s: "Solution") -> None:
    """What a case comes to: its batteries, how far it is from collapse, and what happened."""
    from ohmwright.circuit.newton import LARGEST_MARGIN

    click.echo(f"{name}: {s.case.title}" if s.case.title else name)
    if not s.converged:
        say("    does not carry this load: the voltage collapses")
    if s.collapse_margin is not None:
        times = "a hundred times and more" if s.collapse_margin >= LARGEST_MARGIN else f"{s.collapse_margin:.3g} times"  # fmt: skip
        where = f" at {s.falls_first}" if s.falls_first and s.collapse_margin < LARGEST_MARGIN else ""
        say(f"    its loads may grow {times} before the voltage collapses{where}")
    for b, a in s.batteries.items():
        told = f", {100 * a.share:.1f} % of {a.bank}" if a.share is not None else ""
        amps = a.current_A if abs(a.current_A) >= SHOWN_A else 0.0
        click.echo(f"    {b}: {amps:+.1f} A{told if amps else ''}")
    for line in s.story:
        say("    " + line)


def _runs(study: "Study", s: "Solution") -> None:
    """The conductors that carry something, in the order of the file."""
    from ohmwright.services.flows import run_figures

    rows = []
    for name in s.conductors:
        amps, drop, loss = run_figures(s, name)
        if abs(amps) >= SHOWN_A:
            c = study.graph.conductors[name]
            rows.append((name, c.a, c.b, figure(amps), figure(drop), figure(loss)))
    if not rows:
        say("    no conductor carries anything")
        return
    click.echo("")
    table(("run", "from", "to", "A", "drop V", "loss W"), rows, right="...rrr")
    if any(r[4] == "?" for r in rows):
        say(
            "? : the size or length of this conductor is not known; everything else is solved as if it had no resistance"
        )


def _cascades(found: "dict[str, Cascade]") -> None:
    """What the bank's own protection makes of the heaviest cases."""
    if not found:
        return
    click.echo("Batteries that open by themselves")
    for name, c in found.items():
        click.echo(f"    {name}")
        for line in c.story or ("every battery whose limit is known stands it",):
            say("        " + line)
        if c.missing:
            say("        cannot tell without " + ", ".join(c.missing))
    click.echo("")


def _faults(faults: "list[Fault]") -> None:
    """Both bounds of every fault, who feeds it, and how long it lasts at each bound."""
    rows = []
    for f in faults:
        times = f.clears_s or {}
        feeds = ", ".join(f"{k} {v / 1000:.3g}" for k, v in list(f.from_A.items())[:4])
        rows.append(
            (
                f.terminal,
                figure(None if f.max_A is None else f.max_A / 1000),
                figure(None if f.min_A is None else f.min_A / 1000),
                _seconds(times.get("max")),
                _seconds(times.get("min")),
                feeds + (", ..." if len(f.from_A) > 4 else ""),
            )
        )
    if not rows:
        say("no terminal has a fault to tell")
        return
    table(
        ("bolted fault at", "max kA", "min kA", "clears max s", "clears min s", "from, kA"),
        rows,
        right=".rrrr.",
    )
    missing = dict.fromkeys(m for f in faults for m in f.missing)
    say(
        "clears: the longest time at the greatest and at the least fault; ? : no device is proved to open, or not known"
    )
    if missing:
        say("cannot tell some of them without " + ", ".join(missing))


def _alternating(study: "Study") -> None:
    """Both bounds of every AC fault: to neutral, to earth, to the other line."""
    others = (study.ac_faults, study.earth_faults, study.line_faults)
    rows = []
    for t, f in study.ac_faults.items():
        if t in study.faults:
            continue
        cells = [figure(a) if o is not None else "" for o in (x.get(t) for x in others) for a in (o.max_A if o else None, o.min_A if o else None)]  # fmt: skip
        rows.append((t, *cells, ", ".join(f"{k} {figure(v)}" for k, v in f.from_A.items())))
    if not rows:
        return
    click.echo("")
    shown = 7 if any(t in study.line_faults for t, *_ in rows) else 5
    heads = ("bolted AC fault at", "to N max A", "min A", "to earth max A", "min A", "to line max A", "min A")
    table(
        (*heads[:shown], "greatest from, A"),
        [(*r[:shown], r[7]) for r in rows],
        right="." + "r" * (shown - 1) + ".",
    )
    if any(f.min_A == 0.0 for f in study.earth_faults.values()):
        say(
            "0 to earth : in some state no conductor leads back to its source; only a residual-current device would open, if any"
        )
    missing = dict.fromkeys(m for x in others for f in x.values() for m in f.missing)
    if missing:
        say("cannot tell some of them without " + ", ".join(missing))


def _clearing(study: "Study") -> None:
    """How long the least AC faults last, by which device, and what is allowed for one to earth."""
    from ohmwright.circuit.ac_clearing import longest
    from ohmwright.services.flows import allowed_s

    rows, missing = [], dict[str, None]()
    for t in study.ac_faults:
        if t in study.faults:
            continue
        cells: list[str] = []
        for clearing in (study.neutral_clearing, study.earth_clearing, study.line_clearing):
            told = clearing.get(t, ())
            worst = longest(told) if told else None
            cells += ["", ""] if worst is None else [_seconds(worst.min_s), worst.by]
            missing |= dict.fromkeys(worst.missing if worst is not None else ())
        if any(cells):
            allowed = allowed_s(study, study.earth_clearing.get(t, ()))
            rows.append((t, *cells[:4], figure(allowed) if allowed is not None else "", *cells[4:]))
    if not rows:
        return
    click.echo("")
    shown = 8 if any(r[6] for r in rows) else 6
    heads = ("least AC fault at", "to N clears s", "by", "to earth s", "by", "allowed s", "to line s", "by")
    table(heads[:shown], [r[:shown] for r in rows], right=".r.r.rr."[:shown])
    say(
        "clears: the longest time at the least fault, over all standings, from the source that is cut off last; allowed: for a final circuit; ? : nothing is proved to open, or not known"
    )
    if not any(r[5] for r in rows):
        say("no time is allowed or forbidden here: NFPA 70 asks that a device opens (250.4(A)(5))")
    if missing:
        say("cannot tell some of them without " + ", ".join(missing))


def _seconds(time_s: float | None) -> str:
    """A clearing time; nothing is told apart below a millisecond, where the current itself is still rising."""
    return "<0.001" if time_s is not None and time_s < 0.001 else figure(time_s)
