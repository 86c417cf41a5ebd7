"""The main job on a demo rig, in plain words: what `./demo` runs.

python -m ohmwright.services.tour out/demo
"""

import sys
from pathlib import Path

from ohmwright.checks.types import Finding
from ohmwright.services.check import Checked, check
from ohmwright.services.new import like
from ohmwright.services.papers import papers
from ohmwright.services.why import why

RIG = "trailer"


def _by_rule(done: Checked) -> list[str]:
    """One line a rule that finds a danger: the number, what it is about, and the first sentence found."""
    by_rule: dict[str, list[Finding]] = {}
    for f in done.dangers():
        by_rule.setdefault(f.rule, []).append(f)
    lines = []
    for found in by_rule.values():
        subjects = ", ".join(f.subject for f in found[:4]) + (
            f" and {len(found) - 4} more" if len(found) > 4 else ""
        )
        lines.append(f"    {found[0].number} {subjects}: {found[0].message}")
    return lines


def tour(folder: Path) -> list[str]:
    """Make the demo job, check its three files, run its year, make its papers; what was found, in sentences."""
    job = folder / "larkspur"
    if not job.exists():
        like(str(job), RIG)
    lines = [f"The demo job is a trailer of invented people, in {job}.", ""]
    for name, what in (
        ("rig.yaml", "as first quoted"),
        ("rig-swapped.yaml", "with other modules, now in series"),
        ("rig-built.yaml", "mended, as built"),
    ):
        done = check(str(job / name))
        lines.append(f"{name} ({what}): {done.statement()}")
        lines += _by_rule(done)
    derived = why(str(job / "rig-swapped.yaml"), "A1")
    if derived.finding:
        lines += ["", "Why, with a pocket calculator:"]
        lines += [
            f"    {s.symbol} = {s.substituted} = {s.value:.1f} {s.unit}"
            for last in derived.finding.steps
            for s in last.chain()
        ]
    out = job / "papers" / "working"
    made = papers(str(job / "rig-built.yaml"), str(out))
    if made.year:
        kept = {True: "kept", False: "NOT KEPT", None: "cannot be told"}
        lines += ["", "The year of the rig as built:"]
        lines += [f"    {said}" for said in made.year.verdict]
        lines += [
            f"    Promise '{p.name}': asked {p.asked}, got {p.got}: {kept[p.kept]}."
            for p in made.year.promises
        ]
    lines += ["", f"{len(made.made)} files of papers lie in {out}: begin with binder.pdf, or circuit-1.pdf."]
    lines += [
        "The bench, the same sheets in a browser on this machine:",
        f"    .venv/bin/ohmwright bench {folder}",
    ]
    lines += [
        "",
        "Everything above is advice to a competent technician. Local codes and licensed practice rule.",
    ]
    return lines


if __name__ == "__main__":
    print("\n".join(tour(Path(sys.argv[1] if len(sys.argv) > 1 else "out/demo"))))  # noqa: T201 - this is its job
