"""Addresses: what a word of the rig names, and the nearest right one for a wrong word."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ohmwright.rig.model import Load, Metal, Part, Rig
from ohmwright.rig.ports import Outlet, Ports, ports_of
from ohmwright.rig.telling import listed, near

What = Literal[
    "part", "port", "terminal", "run", "conductor", "load", "place", "way", "metal", "variable", "figure"
]


@dataclass(frozen=True, slots=True)
class Named:
    """What an address names. `owner` is the part, load, run, place or body it belongs to; `rest` is the figure's name."""

    address: str
    what: What
    owner: str
    rest: str = ""


def nearest_address(
    text: str, ports: Ports, parts: Mapping[str, Part], loads: Mapping[str, Load], metal: Mapping[str, Metal]
) -> tuple[str, str]:
    """Message and remedy for an end of a run that names no terminal and no port."""
    shown = " ".join(text.split())[:60]
    owner = _longest_owner(text, (*parts, *loads, *metal))
    if not owner:
        first = text.partition(".")[0]
        found = near(first, [*parts, *loads, *metal])
        what = f"there is no part, load or metal body '{first[:60]}'"
        return what, (
            f"did you mean {found}{text[len(first) :][:60]}?"
            if found
            else "write it under parts, use or metal first"
        )
    if owner in loads and not any(o.owner == owner for o in ports.outlets.values()):
        return (
            f"the load {owner} has no terminals",
            f"write wired: dc or wired: ac in {owner}, or fed: with the way that feeds it",
        )
    if owner in metal:
        return f"{owner} is a metal body: it has no '{text[len(owner) + 1 :][:40]}'", f"write {owner}"
    own = [a for a, o in {**ports.outlets, **ports.terminals}.items() if o.owner == owner]
    found = near(text, own)
    write = f"it has {listed(own, 8)}" if own else "look at its kind"
    if found and found != owner:
        write = f"did you mean {found}?"
    return f"{owner} has no terminal or port '{shown}'", write


def _longest_owner(text: str, ids: tuple[str, ...]) -> str:
    known = set(ids)
    words = text.split(".")
    for n in range(min(len(words), 5), 0, -1):
        if ".".join(words[:n]) in known:
            return ".".join(words[:n])
    return ""


def table_of(rig: Rig) -> Ports:
    """The ports and terminals of a rig."""
    return ports_of(rig.parts, rig.use.loads, rig.metal.values())


def resolve(rig: Rig, address: str, ports: Ports | None = None) -> Named | None:
    """What `address` names, or None."""
    ports = ports or table_of(rig)
    for ids, what in (
        (rig.parts, "part"), (rig.use.loads, "load"), (rig.runs, "run"), (rig.host.places, "place"), (rig.metal, "metal"), (rig.host.ways, "way"),
    ):  # fmt: skip
        if address in ids:
            return Named(address, what, address)  # type: ignore[arg-type]
    outlet: Outlet | None = ports.outlets.get(address)
    if outlet is not None:
        return Named(address, "terminal" if address in ports.terminals else "port", outlet.owner)
    outlet = ports.terminals.get(address)
    if outlet is not None:
        return Named(address, "terminal", outlet.owner)
    for run in rig.runs.values():
        if any(core.id == address for core in run.cores):
            return Named(address, "conductor", run.id)
    owner = _longest_owner(address, (*rig.parts, *rig.use.loads, *rig.runs, *rig.host.places, *rig.metal))
    rest = address[len(owner) + 1 :] if owner else ""
    return Named(address, "figure", owner, rest) if owner and rest and _has_figure(rig, owner, rest) else None


def _has_figure(rig: Rig, owner: str, rest: str) -> bool:
    name = rest.replace("-", "_")
    part = rig.parts.get(owner)
    if part is not None:
        return (
            name in part.kind.figures or name in part.figures or name in part.kind.words or name in part.words
        )
    run = rig.runs.get(owner)
    if run is not None:
        return rest in ("length", "cable", "from", "to", "via", "role")
    load = rig.use.loads.get(owner)
    if load is not None:
        return (
            rest in ("power", "energy", "hours", "duty", "surge", "standby", "length", "fed")
            or rest in load.figures
        )
    place = rig.host.places.get(owner)
    return place is not None and (
        rest in place.figures or rest in place.words or rest in ("at", "size", "regime")
    )


def suggest(rig: Rig, address: str) -> str | None:
    """The nearest right address, or None."""
    ports = table_of(rig)
    names = [
        *rig.parts,
        *rig.use.loads,
        *rig.runs,
        *rig.host.places,
        *rig.metal,
        *ports.outlets,
        *ports.terminals,
    ]
    return near(address, names)
