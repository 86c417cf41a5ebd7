"""Where runs may land, what a typed or pressed word means there, and how two ends are joined."""

from collections.abc import Mapping
from dataclasses import dataclass

from ohmwright.rig.addresses import table_of
from ohmwright.rig.landing import Landing, landings, loose_ends
from ohmwright.rig.model import Part, Rig
from ohmwright.rig.ports import AS_FOUND, Outlet
from ohmwright.services.desk import Look


@dataclass(frozen=True, slots=True)
class End:
    """Where a run may land: a port with its poles, or one terminal. `landed` names what lies there already."""

    address: str
    poles: tuple[str, ...]
    owner: str
    landed: tuple[str, ...]
    free: bool
    loose: bool
    """Nothing lies there yet, and its kind wants it wired."""


def ends_of(look: Look) -> tuple[End, ...]:
    """Every port and terminal that takes one more conductor, loose ones first."""
    table, landed = table_of(look.rig), landings(look.study.graph)
    as_found = look.rig.job.stage == "as found"
    found = [
        end
        for address, outlet in table.outlets.items()
        if address not in table.inner or (as_found and table.inner[address].startswith(AS_FOUND))
        for end in _of_outlet(outlet, landed)
    ]
    return tuple(sorted(found, key=lambda e: not e.loose))


def _of_outlet(outlet: Outlet, landed: Mapping[str, Landing]) -> list[End]:
    lies = {t: _runs_on(t, landed) for t in outlet.terminals}
    room = {t: len(lies[t]) < max(outlet.takes, 1) or outlet.takes > 90 for t in outlet.terminals}
    wanted = not outlet.may_stay_free and outlet.role not in ("case", "metal")
    whole = End(
        outlet.address,
        outlet.poles,
        outlet.owner,
        tuple(dict.fromkeys(r for t in outlet.terminals for r in lies[t])),
        all(room.values()),
        wanted and outlet.role not in ("stud", "earth") and not any(lies.values()),
    )
    out = [whole] if whole.free else []
    if len(outlet.terminals) > 1:
        out += [
            End(t, (p,), outlet.owner, lies[t], True, wanted and not lies[t] and any(lies.values()))
            for t, p in zip(outlet.terminals, outlet.poles, strict=True)
            if room[t]
        ]
    return out


def _runs_on(terminal: str, landed: Mapping[str, Landing]) -> tuple[str, ...]:
    found = landed.get(terminal)
    return tuple(c.partition(".")[0] for c in found.conductors) if found is not None else ()


def loose_things(look: Look) -> tuple[str, ...]:
    """Ports and terminals that want a run and have none, each port once."""
    table = table_of(look.rig)
    loose = set(loose_ends(look.study.graph))
    out: dict[str, None] = {}
    for outlet in table.outlets.values():
        mine = [t for t in outlet.terminals if t in loose and t not in table.inner]
        if not mine or outlet.role in ("stud", "earth", "way", "case", "signal", "data"):
            continue
        for name in [outlet.address] if len(mine) == len(outlet.terminals) else mine:
            out[name] = None
    return tuple(out)


def meant(look: Look, text: str, other: str = "") -> tuple[End | None, tuple[End, ...]]:
    """The end that a typed or pointed word means: an address as it is; for a thing with several ends these, to be chosen from."""
    ends = ends_of(look)
    exact = next((e for e in ends if e.address == text), None)
    if exact is not None:
        return exact, ()
    own = [e for e in ends if e.owner == text or e.owner.startswith(f"{text}.")]
    if own and all(len(e.poles) == 1 and e.address.rpartition(".")[2].isdecimal() for e in own):
        return next((e for e in own if not e.landed), own[0]), ()
    fits = [e for e in own if e.loose and other and e.poles == _poles(look, other)]
    loose = [e for e in own if e.loose]
    if len(fits) == 1:
        return fits[0], ()
    if len(loose) == 1 and len(loose[0].poles) == len(own[0].poles):
        return loose[0], tuple(own)
    return None, tuple(own)


def _poles(look: Look, address: str) -> tuple[str, ...]:
    table = table_of(look.rig)
    outlet = table.outlets.get(address)
    return outlet.poles if outlet is not None else (table.pole.get(address, ""),)


def owner_at(rig: Rig, address: str) -> Part | None:
    """The part that a terminal or port belongs to."""
    words = address.split(".")
    for n in range(len(words), 0, -1):
        if (part := rig.parts.get(".".join(words[:n]))) is not None:
            return part
    return None


def place_at(rig: Rig, address: str) -> str:
    """Where a terminal's owner sits."""
    part = owner_at(rig, address)
    if part is not None:
        return part.place or (rig.parts[part.group].place if part.group in rig.parts else "")
    load = rig.use.loads.get(address.partition(".")[0])
    return load.place if load is not None else ""


@dataclass(frozen=True, slots=True)
class Joined:
    """How a run joins two ends: the poles it carries, and for an end of single terminals the one of each pole."""

    start: str
    stop: str
    poles: tuple[str, ...]
    asks: tuple[str, ...] = ()
    """Poles of the one end for which the other end has yet to name a terminal; "" side: nothing to ask."""
    lone: str = ""
    """Which end is a single terminal: `from` or `to`."""


def joined(look: Look, start: End, stop: End, more: Mapping[str, str]) -> Joined | None:
    """What a run between two ends carries; `more` names terminals by pole for an end of single terminals. None: no pole in common."""
    if len(start.poles) == len(stop.poles) == 1:
        pole = start.poles[0] or stop.poles[0]
        return Joined(start.address, stop.address, (pole,) if pole else ())
    if set(start.poles) == set(stop.poles):
        return Joined(start.address, stop.address, start.poles)
    if len(start.poles) > 1 and len(stop.poles) > 1:
        common = tuple(p for p in start.poles if p in stop.poles)
        return Joined(start.address, stop.address, common) if common else None
    lone, many, side = (start, stop, "from") if len(start.poles) == 1 else (stop, start, "to")
    told = {p: t for p, t in more.items() if t and p in many.poles}
    if not told:
        told = {_pole_of(look, lone, many): lone.address}
    if len(told) == 1:
        pole, terminal = next(iter(told.items()))
        ends = (terminal, f"{many.address}.{pole}")
    else:
        ends = ("{" + ", ".join(f'"{p}": {t}' for p, t in told.items()) + "}", many.address)
    a, b = ends if side == "from" else (ends[1], ends[0])
    return Joined(a, b, tuple(told), many.poles, side)


def _pole_of(look: Look, lone: End, many: End) -> str:
    """The pole that a stud or a device's side takes: its own, that of the bar it belongs to, else the first."""
    if lone.poles[0] in many.poles:
        return lone.poles[0]
    bars = bars_by_pole(look.rig)
    return next((p for p, bar in bars.items() if bar == lone.owner and p in many.poles), many.poles[0])


def bars_by_pole(rig: Rig) -> dict[str, str]:
    """The bar on which the conductors of a pole land, by what lands there already."""
    out: dict[str, str] = {}
    for run in rig.runs.values():
        for core in run.cores:
            for terminal in (core.a, core.b):
                part = owner_at(rig, terminal)
                if part is not None and part.kind.name in ("busbar", "earth-bar") and core.pole:
                    out.setdefault(core.pole, part.id)
    return out


def other_studs(look: Look, how: Joined) -> dict[str, str]:
    """For every pole that is asked of an end of single terminals the stud it may land on; "" where none is known."""
    bars = bars_by_pole(look.rig)
    ends = ends_of(look)
    out = {}
    for pole in how.asks:
        bar = bars.get(pole, "")
        out[pole] = next((e.address for e in ends if e.owner == bar and not e.landed), "") if bar else ""
    return out
