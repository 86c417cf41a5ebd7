"""The main job on a demo rig, in plain words: what `./demo` runs.

python -m ohmwright.services.tour out/demo
"""

import sys
from pathlib import Path

from ohmwright.services.check import check
from ohmwright.services.new import like
from ohmwright.services.papers import papers
from ohmwright.services.why import why

RIG = "trailer"


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
        lines += [f"    {f.number} {f.subject}: {f.message}" for f in done.dangers()[:4]]
        more = len(done.dangers()) - 4
        if more > 0:
            lines.append(f"    and {more} more.")
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
    lines += ["", "The year of the rig as built:"]
    lines += (
        [
            f"    Promise '{p.name}': asked {p.asked}, got {p.got}: "
            + {True: "kept", False: "NOT KEPT", None: "cannot be told"}[p.kept]
            + "."
            for p in made.year.promises
        ]
        if made.year
        else []
    )
    lines += [f"    {note}" for note in (made.year.notes if made.year else ())]
    lines += ["", f"{len(made.made)} papers lie in {out}:"]
    lines += [f"    {p['file']}" for p in made.made if p["format"] in ("pdf", "svg")]
    lines += [
        "",
        "Everything above is advice to a competent technician. Local codes and licensed practice rule.",
    ]
    return lines


if __name__ == "__main__":
    print("\n".join(tour(Path(sys.argv[1] if len(sys.argv) > 1 else "out/demo"))))  # noqa: T201 - this is its job
