"""ohmwright mend."""

from typing import TYPE_CHECKING

import click

from ohmwright.cli.ending import print_json
from ohmwright.cli.words import CAUTION, entry, say

if TYPE_CHECKING:
    from ohmwright.services.mend import Repair

#: Changes that lay cable: without a price where nobody has measured its way.
BY_THE_METRE = ("new run", "moved end", "cable")
HEADS = {
    "do": "BY HAND, with these changes:",
    "licensed": "LICENSED HANDS: mains work that no file settles:",
    "decide": "TO DECIDE: what remains and why:",
    "look": "TO LOOK AT:",
    "measure": "TO MEASURE OR COPY FROM A PLATE, by the rules that it settles:",
}


@click.command("mend")
@click.argument("rig")
@click.option("-o", "--out", "out", default="", help="Write the mended rig as this new file.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def mend_command(rig: str, out: str, as_json: bool) -> int:
    """Propose the smallest set of changes that clears what the rules found.

    Every change is tried, read again and judged by the same rules. No protective device is taken out, no fuse is
    raised above its cable, and no setting or override settles a danger. Exit 1 when dangers remain.

    \b
    Example:
        ohmwright mend bramble -o bramble-mended.yaml
    """
    from ohmwright.services import mend as service

    done = service.mend(rig, out)
    if as_json:
        print_json(service.mend_json(done))
    else:
        _tell(done)
    return 1 if done.open else 0


def _tell(done: "Repair") -> None:
    from ohmwright.services.mend import together

    m = done.mended
    say(done.statement(), "")
    if not m.changes:
        say("No change is proposed: nothing that the shelf has clears what was found.")
    for n, p in enumerate(m.changes, 1):
        c = p.change
        what = (
            " -> ".join(w for w in (c.was, c.becomes) if w)
            if c.sort != "taken out"
            else f"{c.was}: taken out"
        )
        unpriced = "by the metre, once it is measured" if c.sort in BY_THE_METRE else "no price on the shelf"
        price = unpriced if c.price is None else f"{c.price:.2f} {m.currency}"
        entry(
            f"{n:3}  {c.sort.upper()}  {c.address}{f'  ({p.where})' if p.where else ''}",
            what,
            f"Answers {p.why.number} {p.why.subject}: {p.why.message}",
            f"Price: {price}",
        )
    if m.changes:
        say(
            "",
            f"Together {m.price:.2f} {m.currency}"
            + (f", and {m.unpriced} without a price." if m.unpriced else "."),
        )
    for what, head in HEADS.items():
        lines = together([h for h in m.hands if h.what == what])
        if not lines:
            continue
        say("", head)
        for line in lines:
            names, rules = ", ".join(line.subjects), ", ".join(line.rules)
            if line.told:
                entry(f"    {names}  ({rules})", line.told)
            else:
                entry(f"    {rules}", names)
    say("")
    if done.file:
        say(
            f"Written: {done.file}. Comments in it are as they were: read those beside changed lines.",
            f"Next: ohmwright check {done.file}",
        )
    say("What is proposed is not built: until it is, the rig stays as it was found.", CAUTION)
