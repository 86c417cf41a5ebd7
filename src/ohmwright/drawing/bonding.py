"""Bonding and earthing: every conductor of earth, metal that touches, wet paths, electrodes, joins with neutral."""

from collections.abc import Iterator
from dataclasses import dataclass

from ohmwright.drawing.frame import Title, plan_sizes
from ohmwright.drawing.page import Binding, Page, bound, holds
from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.trees import Join, Node, tree_pages
from ohmwright.drawing.words import COLOUR_CODES, NB, size_of
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Core, Rig, Run
from ohmwright.working import known

CAUTIONS = (
    "Never open an earth conductor with anything plugged in or running.",
    "A resistance of earth that nobody measured is not known, whatever the rod looks like.",
    "Local codes and a licensed person's judgement rule over this sheet.",
)
AFLOAT = "Metal in the water that is joined to shore earth corrodes; an isolator that has failed looks like one that has not."

#: Elements that join metal without a cable.
TOUCHING = {"bolted": "bolted on", "metal": "touches"}


@dataclass(frozen=True, slots=True)
class Bonding:
    """What the plan is made from."""

    rig: Rig
    graph: Graph
    title: Title | None = None


def earth_cores(rig: Rig, graph: Graph) -> Iterator[tuple[Run, Core]]:
    """Every conductor of earth: of pole PE, with that role, or landed on metal."""
    for run in rig.runs.values():
        for core in run.cores:
            ends = (graph.terminals[core.a], graph.terminals[core.b])
            if core.pole == "PE" or run.role in ("bond", "earth") or any(t.is_metal for t in ends):
                yield run, core


def bonding_sheets(made_from: Bonding) -> tuple[Sheet, ...]:
    """The plan; none for a rig without metal and earth."""
    rig, graph = made_from.rig, made_from.graph
    joins = [*_cables(rig, graph), *_touching(graph), *_wet(rig)]
    ends = dict.fromkeys([*rig.metal, *(p.id for p in rig.parts.values() if p.kind.name in ("earth-bar", "electrode", "galvanic-isolator")), *(e for j in joins for e in (j.a, j.b))])  # fmt: skip
    if not ends:
        return ()
    roots = [p.id for p in rig.parts.values() if p.kind.name == "earth-bar"]
    boat = rig.host.kind == "boat"
    cautions = (*CAUTIONS[:2], AFLOAT, *CAUTIONS[2:]) if boat else CAUTIONS

    def finish(page: Page) -> bool:
        _notes(rig, graph, page)
        return holds(page, cautions)

    pages = tree_pages([_node(rig, e) for e in ends], joins, plan_sizes(rig.job), finish, roots)
    told = {r.id: f"{r.id}, {r.start} to {r.stop}, {r.cable.text}" for r in rig.runs.values()}
    binding = Binding(
        made_from.title or Title(rig.job.title or rig.job.id), "Bonding plan" if boat else "Earthing plan", "not to scale", "B",
        f"{len(ends)} things joined by {len(joins)} conductors, contacts and wet paths.", cautions, told,
    )  # fmt: skip
    return bound(pages, binding)


def _cables(rig: Rig, graph: Graph) -> Iterator[Join]:
    for run, core in earth_cores(rig, graph):
        a, b = graph.terminals[core.a].owner, graph.terminals[core.b].owner
        length = graph.conductors[core.id].length_m
        colour = COLOUR_CODES.get(run.cable.colour, "")
        size = size_of(run.cable, len(run.cores))
        told = [run.id, size, colour, f"{length:.3g}{NB}m" if length is not None else f"?{NB}m"]
        core_of = f"core {core.pole} of a cable" if len(run.cores) > 1 else run.role or "working return"
        yield Join(
            run.id,
            a,
            b,
            " ".join(w for w in told if w),
            f"{core.a} – {core.b}, {core_of}",
            "earth",
            0.35,
        )


def _touching(graph: Graph) -> Iterator[Join]:
    for e in graph.elements.values():
        a, b = graph.terminals[e.a], graph.terminals[e.b]
        if e.role in TOUCHING and a.owner != b.owner:
            yield Join(e.id, a.owner, b.owner, TOUCHING[e.role], "", "", 0.7)


def _ohm(rig: Rig, part: str) -> str:
    figure = known(rig.parts[part].figure("resistance")) if part in rig.parts else None
    return f"{figure.value:g}{NB}Ω to earth" if figure else f"____{NB}Ω to earth, not known"


def _wet(rig: Rig) -> Iterator[Join]:
    for body in rig.metal.values():
        for other in body.wet:
            if other in rig.metal:
                yield Join(
                    f"{body.id} wet {other}",
                    body.id,
                    other,
                    "wet: no conductor, corrosion only",
                    "",
                    "data",
                    0.25,
                )


def _node(rig: Rig, name: str) -> Node:
    part = rig.parts.get(name)
    if part is not None and part.kind.name == "electrode":
        return Node(name, (part.kind.title, f"at {part.place}", _ohm(rig, name)))
    if part is not None:
        return Node(name, (part.kind.title.split(",")[0], *((f"at {part.place}",) if part.place else ())))
    body = rig.metal.get(name)
    if body is not None:
        return Node(
            name, tuple(f"{v}" if k == "metal" else f"{k} {v}" for k, v in body.words.items()) or ("metal",)
        )
    return Node(name, ("load",))


def _notes(rig: Rig, graph: Graph, page: Page) -> None:
    bonds = [e for e in graph.elements.values() if e.role == "bond"]
    told = []
    for e in bonds:
        when = ", ".join(f"{n} {' or '.join(sorted(s))}" for n, s in e.when)
        told.append(f"{e.id}: {e.a} – {e.b}" + (f", closed when {when}" if when else ", always"))
    for run in rig.runs.values():
        for core in run.cores:
            poles = {graph.terminals[core.a].pole, graph.terminals[core.b].pole}
            if poles == {"N", "PE"}:
                told.append(f"{run.id}: {core.a} – {core.b}, always")
    page.note("NEUTRAL-EARTH JOINS", told)
    surge = [p.id for p in rig.parts.values() if p.kind.name.startswith("surge")]
    page.note("SURGE DEVICES", [", ".join(surge)] if surge else [])
    missing = []
    if rig.host.kind == "boat":
        missing.append("anodes: the file has no entry for them; look and write them in")
        if not rig.of_kind("galvanic-isolator", "isolation-transformer"):
            missing.append("no isolator and no isolation transformer in the file")
    if rig.host.kind == "cabin":
        missing.append("trench, depth and course of the earth electrode: not in the file")
    page.note("NOT IN THE FILE", missing)
    page.note(
        "READING",
        [
            "Long-dash-dot: a conductor; heavy: metal on metal; short dashes: only water between.",
            "Under a line: the terminals it joins.",
        ],
    )
