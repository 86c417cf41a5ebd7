"""Write docs/rules.md and docs/sources.md from the rules and the published figures, and the catalogue of sentences for other languages.

.venv/bin/python scripts/catalogues.py          write them
.venv/bin/python scripts/catalogues.py --check  fail when one is stale
"""

import sys
from pathlib import Path

from ohmwright.checks.catalogue import catalogue
from ohmwright.checks.registry import rules
from ohmwright.checks.sets import SETS
from ohmwright.standards import all_figures
from ohmwright.working.quantity import number

sys.path.insert(0, str(Path(__file__).parent))
from sentences import WORDS, sentences_page

DOCS = Path(__file__).parents[1] / "docs"


def rules_page() -> str:
    """Every rule of the catalogue; those that are built with reason and clauses."""
    built = {r.number: r for r in rules().values()}
    lines = [
        "# Rules",
        "",
        f"{len(built)} of {len(catalogue())} rules are built. A report lists those of its set that are not. Clauses marked *memory* were not read by",
        "whoever typed them; nothing here is a ruling of any authority.",
        "",
    ]
    for line in catalogue().values():
        made = built.get(line.number)
        sets = "all sets" if line.sets == SETS else ", ".join(line.sets)
        lines += [
            f"## {line.number} {line.title}",
            "",
            f"`{line.id}` · {', '.join(line.severities)} · {sets}" + ("" if made else " · **not built yet**"),
            "",
        ]
        if made is None:
            continue
        lines += [made.why, ""]
        for where, clause in made.clauses.items():
            lines.append(f"- {where or 'everywhere'}: {clause} ({clause.seen})")
        notes = []
        if made.never_overridden:
            notes.append("cannot be overridden into an issued design")
        if made.needs:
            notes.append("needs " + ", ".join(made.needs))
        lines += ([f"- {'; '.join(notes)}"] if notes else []) + [""]
    return "\n".join(lines).rstrip() + "\n"


def sources_page() -> str:
    """Every published figure, by page."""
    lines = [
        "# Sources",
        "",
        "Every published figure of the program, once. *seen*: official = the official text or a verbatim reproduction was read; secondary = read in",
        "another's text; memory = not read, from memory; computed = worked out here.",
        "",
    ]
    page = ""
    for f in all_figures():
        name = f.id.partition("/")[0]
        if name != page:
            page = name
            lines += [
                "",
                f"## {name}",
                "",
                "| id | value | unit | standard | edition | clause | seen |",
                "|---|---|---|---|---|---|---|",
            ]
        c = f.clause
        cells = (
            f.id,
            number(f.value),
            f.unit if f.unit != "1" else "",
            c.standard,
            c.edition,
            c.clause,
            c.seen,
        )
        lines.append("| " + " | ".join(x.replace("|", "/") for x in cells) + " |")
    return "\n".join(lines).rstrip() + "\n"


PAGES = {
    DOCS / "rules.md": rules_page,
    DOCS / "sources.md": sources_page,
    WORDS / "sentences.yaml": sentences_page,
}


def stale() -> list[str]:
    """Names of pages that differ from what the program says."""
    return [
        path.name
        for path, make in PAGES.items()
        if not path.exists() or path.read_text(encoding="utf-8") != make()
    ]


def main(arguments: list[str]) -> int:
    """Write the pages, or check them."""
    if "--check" in arguments:
        found = stale()
        if found:
            sys.stderr.write(f"stale: {', '.join(found)}; run scripts/catalogues.py\n")
        return 1 if found else 0
    for path, make in PAGES.items():
        path.write_text(make(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
