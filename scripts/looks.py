"""Bind every look of the demo rigs to what stands there now: the mark of each is written anew.

    .venv/bin/python scripts/looks.py

Run it after a demo rig was changed on purpose, where whoever looked has looked again.
"""

import re
from pathlib import Path

from ohmwright.checks.registry import rules
from ohmwright.checks.seen import mark_of
from ohmwright.rig.read import read_rig
from ohmwright.services.demos import NAMES, files_of
from ohmwright.shelf.load import Shelf
from ohmwright.study import Study

_OF = re.compile(r", of: [0-9a-f.]+(?=\})")


def bound(text: str, study: Study) -> str:
    """The text of a rig with the marks of its looks as they are."""
    lines = text.split("\n")
    ids = {r.number: r.id for r in rules().values()}
    for look in study.rig.looked_at:
        at = look.position.line - 1
        rule = ids.get(look.rule, look.rule)
        bare = _OF.sub("", lines[at])
        lines[at] = (
            f"{bare[: bare.rindex('}')]}, of: {mark_of(study, rule, look.subject)}{bare[bare.rindex('}') :]}"
        )
    return "\n".join(lines)


def main() -> None:
    """Write those rig files whose marks are not as they are."""
    demos = Path(__file__).parents[1] / "src" / "ohmwright" / "services" / "demos"
    for name in NAMES:
        files = files_of(name)
        shelf = Shelf(job={p: b.decode() for p, b in files.items() if p.startswith("shelf/")})
        for path, data in files.items():
            text = data.decode() if path.endswith(".yaml") else ""
            if "\nlooked-at:" in text:
                made = bound(text, Study(read_rig(text, path, shelf)))
                if made != text:
                    (demos / name / path).write_text(made, encoding="utf-8")


if __name__ == "__main__":
    main()
