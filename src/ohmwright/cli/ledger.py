"""ohmwright ledger."""

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import say, table


@click.command("ledger")
@click.argument("folder")
@click.argument("words", nargs=-1)
@click.option("--date", "dated", default="", help="When it happened; today when left out.")
@click.option("--amount", "amount", default="", help='What was paid, with its currency: "62 USD".')
@click.option("--by", "by", default="shop", show_default=True, help="Who did it.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def ledger_command(
    folder: str, words: tuple[str, ...], dated: str, amount: str, by: str, as_json: bool
) -> None:
    """List what happened in a job; or add what was ordered, bought, cut, fitted or signed.

    WORDS is nothing, or `add EVENT ADDRESS...`. The ledger only grows: a mistake is put right by a new entry.

    \b
    Example:
        ohmwright ledger larkspur
        ohmwright ledger larkspur add bought F1 Q1 --date 2026-04-20
        ohmwright ledger larkspur add cut W07 --amount "312 USD" --by bench
    """
    from ohmwright.services import ledger as service

    if words and (words[0] != "add" or len(words) < 3):
        raise click.UsageError("write nothing behind the folder, or: add EVENT ADDRESS...")
    if words:
        told = service.add(folder, words[1], words[2:], dated=dated, amount=amount, by=by).entries
    else:
        told = service.entries(folder)
    if as_json:
        print_json(service.ledger_json(folder, told))
        return
    rows = [
        (str(e.number), str(e.facts.get("dated", e.at[:10])), e.event, *_facts(dict(e.facts)), e.by)
        for e in told
    ]
    table(("n", "date", "event", "what", "amount", "by"), rows, right="r...r.")
    if words:
        say(f"{len(told)} written.")


def _facts(facts: dict[str, object]) -> tuple[str, str]:
    what = str(facts.get("address") or facts.get("revision") or facts.get("how") or "")
    amount = f"{facts['amount']} {facts.get('currency', '')}".strip() if "amount" in facts else ""
    return what, amount
