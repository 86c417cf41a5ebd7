"""ohmwright shelf: part records."""

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import say, table


@click.group("shelf")
def shelf_command() -> None:
    """Part records: every rating with its condition, every figure with its origin.

    \b
    Example:
        ohmwright shelf list --kind fuse
        ohmwright shelf show fuse-class-t-400a
    """


@shelf_command.command("list")
@click.option("--kind", "kind", help="Only parts of one kind.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def shelf_list(kind: str | None, as_json: bool) -> None:
    """List part records by kind.

    \b
    Example:
        ohmwright shelf list --kind battery
    """
    from ohmwright.services import shelf

    told = shelf.list_json(kind)
    if as_json:
        print_json(told)
        return
    table(
        ("part", "kind", "title", "mass kg", "price"),
        [
            (
                p["id"],
                p["kind"],
                p["title"],
                f"{p['mass_kg']:g}" if p["mass_kg"] is not None else "?",
                p["price"] or "?",
            )
            for p in told["parts"]
        ],
    )


@shelf_command.command("show")
@click.argument("part")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def shelf_show(part: str, as_json: bool) -> None:
    """Every figure of a part with condition and origin.

    \b
    Example:
        ohmwright shelf show battery-lfp-200ah-12v
    """
    from ohmwright.services import shelf

    told = shelf.show_json(part)
    if as_json:
        print_json(told)
        return
    say(f"{told['id']}: {told['title']} ({told['kind']})")
    table(
        ("figure", "value", "unit", "condition", "origin"),
        [
            (
                f["name"],
                f"{f['value']:.6g}" if f["known"] == "given" else f["known"],
                f.get("unit") or "",
                f.get("condition") or "",
                f.get("origin") or "",
            )
            for f in told["figures"]
        ],
    )
    if told["words"]:
        table(("word", "value"), list(told["words"].items()))
    if told["missing"]:
        say("Not in the record: " + ", ".join(told["missing"]) + ".")


@shelf_command.command("verify")
@click.argument("part", required=False)
def shelf_verify(part: str | None) -> int:
    """List what a part owes: figures without a page or a condition, unknown, or not on file; without PART, of the whole shelf.

    \b
    Example:
        ohmwright shelf verify fuse-class-t-400a
    """
    from ohmwright.services import shelf

    rows = shelf.owes(part)
    table(("part", "figure", "owes", "says"), rows)
    say("", f"{len(rows)} figures or words are owed. Checks that rest on them say so.")
    return 1 if rows and part else 0


@shelf_command.command("add")
@click.argument("part")
@click.option("--kind", "kind", required=True, help="The kind of part.")
@click.option("--sheet", "sheet", required=True, help="Title of the data sheet.")
@click.option("--dated", "dated", required=True, help="Its date, YYYY-MM-DD.")
@click.option(
    "--to",
    "folder",
    required=True,
    type=click.Path(file_okay=False),
    help="The shop's or job's shelf folder.",
)
@click.option("--figure", "figures", multiple=True, help='"name: quantity (pPAGE)", once for each figure.')
@click.option("--word", "words", multiple=True, help='"name: word", once for each word.')
def shelf_add(
    part: str,
    kind: str,
    sheet: str,
    dated: str,
    folder: str,
    figures: tuple[str, ...],
    words: tuple[str, ...],
) -> None:
    """Add a part from its data sheet: every figure with its page, every rating with its condition.

    \b
    Example:
        ohmwright shelf add fuse-bolt-80a --kind fuse --sheet "bolt fuses" --dated 2026-01-10 --to shelf \\
          --figure "rated: 80 A @ 25 degC (p1)" --figure "voltage: 58 V (p1)" --figure "interrupt: 2 kA @ 58 V DC (p2)"
    """
    from ohmwright.services import shelf

    made, missing = shelf.add(part, kind, sheet, dated, folder, figures, words)
    say(f"Written to {made}.")
    if missing:
        say("The kind asks for more: " + ", ".join(missing) + ".")
