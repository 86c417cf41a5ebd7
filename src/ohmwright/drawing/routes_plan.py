"""The route plan: places, the ways between them with length, glands and condition, and the runs that lie in each."""

from dataclasses import dataclass

from ohmwright.drawing.frame import Title, plan_sizes
from ohmwright.drawing.page import Binding, Page, bound, holds
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.trees import Join, Node, tree_pages
from ohmwright.drawing.words import NB
from ohmwright.rig.model import Rig, Way
from ohmwright.working import known

CAUTIONS = (
    "Look before you drill: what lies behind a bulkhead is not on this sheet.",
    "Edges want a grommet, a bulkhead a gland; a cable that moves wears through.",
    "Lengths are those of the file: measure the way before a cable is cut.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)


@dataclass(frozen=True, slots=True)
class Routes:
    """What the plan is made from."""

    rig: Rig
    title: Title | None = None


def route_sheets(made_from: Routes) -> tuple[Sheet, ...]:
    """Places and ways."""
    rig = made_from.rig
    nodes = [
        Node(p.id, tuple(w for w in (p.regime, _count(rig, p.id)) if w)) for p in rig.host.places.values()
    ]
    joins = [_join(rig, way) for way in rig.host.ways.values()]

    def finish(page: Page) -> bool:
        _notes(rig, page)
        return holds(page, CAUTIONS)

    pages = tree_pages(nodes, joins, plan_sizes(rig.job), finish)
    if not pages:
        return ()
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id), "Route plan", "not to scale", "W",
        f"{len(nodes)} places and {len(joins)} cable ways with the runs that lie in them.", CAUTIONS,
        {w.id: f"{w.id}, way from {w.a} to {w.b}" for w in rig.host.ways.values()},
    )  # fmt: skip
    return bound(pages, binding)


def _count(rig: Rig, place: str) -> str:
    n = sum(1 for p in rig.parts.values() if p.place == place and not p.group)
    return f"{n} part{'s' if n != 1 else ''}" if n else ""


def runs_in(rig: Rig, way: str) -> tuple[str, ...]:
    """The runs that lie in a way."""
    return tuple(r.id for r in rig.runs.values() if way in r.route)


def _join(rig: Rig, way: Way) -> Join:
    length = known(way.length)
    told = [f"{length.value:g}{NB}m" if length else f"?{NB}m"]
    if way.glands:
        told.append(f"{way.glands} gland{'s' if way.glands != 1 else ''}")
    told += [f"{k}" if v in ("true", "yes") else f"{k} {v}" for k, v in way.words.items()]
    runs = runs_in(rig, way.id)
    return Join(way.id, way.a, way.b, ", ".join(told), "  ".join(runs) or "no run lies in it")


def _notes(rig: Rig, page: Page) -> None:
    routed = [r for r in rig.runs.values() if r.route]
    here = [r.id for r in rig.runs.values() if not r.route]
    unknown = [w.id for w in rig.host.ways.values() if known(w.length) is None]
    page.note(
        "READING",
        [
            "Over a line: length, glands, condition; under it: the runs that lie in the way.",
            f"{len(routed)} runs lie in ways.",
        ],
    )
    page.note("LENGTH NOT KNOWN", unknown)
    page.note("RUNS WITHOUT A WAY", ["  ".join(here)] if here else [])
