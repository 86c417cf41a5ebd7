"""The front page: the commands and the help text, without importing anything."""

COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("jobs", "a job folder that works at once, like a demo rig or an old job"),
    "show": ("show", "the rig in words; its graph; every figure; the open questions"),
    "check": ("check", "apply the design rules"),
    "why": ("why", "derive a verdict or a figure, for a pocket calculator"),
    "flows": ("flows", "currents, drops and shares by operating case; faults"),
    "year": ("year", "an energy year where the rig really goes"),
    "mend": ("mend", "the smallest proved set of changes that clears the findings"),
    "compare": ("compare", "two rigs: the change order, what changed and what follows"),
    "ledger": ("ledger", "what was ordered, bought, cut, fitted, signed; and adding to it"),
    "papers": ("papers", "make the drawings, lists and reports"),
    "issue": ("jobs", "check, stamp a letter, freeze a revision"),
    "set": ("edit", "change one figure of the rig file; one line changes"),
    "rename": ("edit", "rename a part, run, load or place everywhere in the file"),
    "ungroup": ("edit", "write a group's members, links and fuses out into the file"),
    "rules": ("books", "the rule catalogue"),
    "sources": ("books", "published figures: edition, clause, who has seen the page"),
    "schema": ("books", "the JSON Schema of a rig file"),
    "shelf": ("shelf", "list, show, add and verify part records"),
    "bench": ("bench", "the sheets of your jobs in a browser, on this machine"),
}

_HELP = """Usage: ohmwright COMMAND [ARGS]...

  Designs, proves, documents and looks after off-grid electrical systems.
  RIG is a rig file, a job folder (its working file) or FOLDER@B (issued
  revision B).

  Example:
      ohmwright new larkspur --like trailer
      ohmwright check larkspur

  What it says is advice to a competent technician. Local codes and licensed
  practice rule.

Commands:
{commands}

  ohmwright COMMAND --help says more, with an example.
Exit: 0 nothing open, 1 something open, 2 input cannot be used, 3 a fault of
the program.
"""


def help_text() -> str:
    """The front page."""
    width = max(map(len, COMMANDS))
    return _HELP.format(
        commands="\n".join(f"  {name:{width}}  {text}" for name, (_, text) in COMMANDS.items())
    )
