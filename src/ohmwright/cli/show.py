"""ohmwright show."""

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import figure, say, table


@click.command("show")
@click.argument("rig")
@click.option("--graph", "graph", is_flag=True, help="Every terminal, element and conductor.")
@click.option("--figures", "figures", is_flag=True, help="Every figure with bounds and origin.")
@click.option("--open", "questions", is_flag=True, help="What was asked and not had, by whom to ask.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def show_command(rig: str, graph: bool, figures: bool, questions: bool, as_json: bool) -> None:
    """Say the rig in words; or its explicit graph, its figures, its open questions.

    \b
    Example:
        ohmwright show larkspur --graph
    """
    from ohmwright.services import show as service
    from ohmwright.services.opening import open_study

    opened, study = open_study(rig)
    if as_json:
        if graph:
            print_json(service.graph_json(opened, study))
        elif figures:
            print_json(service.figures_json(opened))
        elif questions:
            print_json(service.questions_json(opened))
        else:
            print_json(service.rig_json(opened, study))
        return
    if graph:
        g = study.graph
        table(
            ("conductor", "from", "to", "size", "mm2", "m"),
            [
                (c.id, c.a, c.b, c.cable.text, figure(c.area_mm2), figure(c.length_m))
                for c in g.conductors.values()
            ],
            right="....rr",
        )
        click.echo("")
        table(
            ("element", "kind", "a", "b", "when"),
            [
                (e.id, e.kind, e.a, e.b, " ".join(f"{v}={'|'.join(sorted(s))}" for v, s in e.when))
                for e in g.elements.values()
                if e.id not in g.conductors
            ],
        )
        click.echo("")
        say(
            f"{len(g.terminals)} terminals, {len(g.elements)} elements, {len(g.conductors)} conductors, {len(g.variables)} state variables."
        )
    elif figures:
        rows = []
        for f in service.figures_json(opened)["figures"]:
            told = (
                f"{f['value']:.6g} {f['unit'] if f['unit'] != '1' else ''}".strip()
                if f["known"] == "given"
                else f["known"]
            )
            bounds = (
                f"{f['low']:.6g} to {f['high']:.6g}"
                if f["known"] == "given" and f["low"] != f["high"]
                else ""
            )
            rows.append((f["address"], told, bounds, f.get("condition") or "", f.get("origin") or ""))
        table(("address", "value", "bounds", "condition", "origin"), rows)
    elif questions:
        asked = [(q["address"], q["asked"] or "", q["whom"]) for q in service.questions_json(opened)["open"]]
        table(("address", "asked", "whom to ask"), asked) if asked else say(
            "No open question is written in the file."
        )
    else:
        say(*service.in_words(opened, study))
