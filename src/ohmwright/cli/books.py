"""ohmwright rules, sources, schema: the books that everything is judged by."""

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import say, table


@click.command("rules")
@click.option(
    "--set",
    "rule_set",
    help="Only the rules of one set: us-vehicle, us-boat, us-cabin, eu-vehicle, eu-boat, eu-cabin.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def rules_command(rule_set: str | None, as_json: bool) -> None:
    """The rule catalogue: number, name, clause and edition, what each rule needs; and what is not built.

    \b
    Example:
        ohmwright rules --set us-vehicle
    """
    from ohmwright.services import books

    if as_json:
        print_json(books.rules_json(rule_set))
        return
    told = books.rules_json(rule_set)
    table(
        ("number", "rule", "severities", "clause", "seen"),
        [
            (r["number"], r["rule"], "/".join(r["severities"]), r["clause"] or "", r["seen"] or "")
            for r in told["rules"]
        ],
    )
    click.echo("")
    lacking = ", ".join(r["number"] for r in told["not_built"])
    say(
        f"{len(told['rules'])} rules{f'; of the catalogue not built: {lacking}' if lacking else ', all of the catalogue'}."
    )


@click.command("sources")
@click.option("--memory", "memory", is_flag=True, help="Only what is still from memory.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def sources_command(memory: bool, as_json: bool) -> None:
    """Every published figure with standard, edition, clause and who has seen the page.

    \b
    Example:
        ohmwright sources --memory
    """
    from ohmwright.services import books

    told = books.sources_json(memory)
    if as_json:
        print_json(told)
        return
    table(
        ("figure", "value", "unit", "standard", "edition", "clause", "seen"),
        [
            (
                s["id"],
                _short(s["value"]),
                s["unit"] or "",
                s["standard"],
                s["edition"] or "",
                s["clause"] or "",
                s["seen"],
            )
            for s in told["sources"]
        ],
    )
    click.echo("")
    say(
        ", ".join(f"{n} {seen}" for seen, n in told["by_seen"].items())
        + ". What is from memory or second-hand must be read on the page before it is printed as law."
    )


def _short(value: object) -> str:
    text = str(value)
    return text if len(text) <= 28 else text[:25] + "..."


@click.command("schema")
def schema_command() -> None:
    """The JSON Schema of a rig file, for editors.

    \b
    Example:
        ohmwright schema > rig.schema.json
    """
    from ohmwright.rig.schema import json_schema

    print_json(json_schema())
