"""The forms with which a rig grows on the one-line sheet: a new part, a new run, a device set into a run, a thing taken out."""

from collections.abc import Mapping
from dataclasses import dataclass

from ohmwright.rig.model import Rig
from ohmwright.rig.ports import is_group
from ohmwright.rig.rework import Along, Strings, can_join, goes_along, strings_of
from ohmwright.services.building import free_run, proposed_id, proposed_place
from ohmwright.services.cable_for import CableFor, cables_for, route_between
from ohmwright.services.desk import Look
from ohmwright.services.ends import End, Joined, ends_of, joined, meant, other_studs
from ohmwright.services.offers import DeviceFor, Offered, devices_for, kinds_offered, offered

NEW = ("part", "run")
MOST_ENDS = 14
_PILES = ("battery",)


@dataclass(frozen=True, slots=True)
class NewPart:
    """The form for a new part: what the shelf has for the words typed, and what that kind asks for."""

    find: str
    kind: str
    kinds: tuple[tuple[str, str], ...]
    found: tuple[Offered, ...]
    count: int
    chosen: str
    id: str
    place: str
    asks: tuple[str, ...]
    banks: tuple[str, ...]
    typed: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class EndChoice:
    """One end of a new run: what is typed, and what it may mean."""

    name: str
    label: str
    typed: str
    end: End | None
    among: tuple[End, ...]


@dataclass(frozen=True, slots=True)
class NewRun:
    """The form for a new run."""

    id: str
    ends: tuple[EndChoice, ...]
    joined: Joined | None
    studs: Mapping[str, str]
    cables: tuple[CableFor, ...]
    cable: str
    length: str
    route: tuple[str, ...]
    way_length: str
    ways: tuple[str, ...]
    via: str
    trouble: str
    addresses: tuple[End, ...]


@dataclass(frozen=True, slots=True)
class CutForm:
    """The form that sets a device into the chosen run."""

    device: str
    offered: tuple[DeviceFor, ...]
    poles: tuple[str, ...]
    ends: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TakeForm:
    """What goes along when the chosen thing is taken out, and the runs that could be one again."""

    along: Along
    joins: tuple[str, str] | None


@dataclass(frozen=True, slots=True)
class StringForm:
    """The form that puts other modules into an array, and what goes with another number of strings."""

    modules: tuple[tuple[str, str], ...]
    record: str
    per_string: int
    strings: int
    goes: Strings
    cable: str


def adding_of(look: Look, values: Mapping[str, str]) -> NewPart | NewRun | None:
    """The form that a sheet was asked to open: `?new=part` or `?new=run`."""
    what = values.get("new", "")
    if look.letter or what not in NEW:
        return None
    return _new_part(look, values) if what == "part" else _new_run(look, values)


def _new_part(look: Look, values: Mapping[str, str]) -> NewPart:
    find, kind = values.get("find", "")[:80], values.get("kind", "")[:60]
    shelf, rig = look.opened.shelf, look.rig
    found, count = offered(shelf, find, kind, rig.job.currency) if find or kind else ((), 0)
    record = shelf.find(values.get("part", "")[:80])
    chosen = record.id if record is not None else found[0].id if len(found) == 1 else ""
    record = shelf.find(chosen) if chosen else None
    name = record.kind.name if record is not None else kind or _one_kind(look, found)
    return NewPart(
        find,
        kind,
        kinds_offered(shelf),
        found,
        count,
        chosen,
        proposed_id(rig, name) if name else "",
        values.get("place", proposed_place(rig, name)),
        _asked_by(name),
        tuple(p.id for p in rig.parts.values() if p.kind.name == "battery" and not p.group),
        {name: values.get(name, "")[:200] for name in ("id", "ways")},
    )


def _one_kind(look: Look, found: tuple[Offered, ...]) -> str:
    """The kind of all that was found; "" where there are several."""
    names = {r.kind.name for o in found if (r := look.opened.shelf.find(o.id)) is not None}
    return names.pop() if len(names) == 1 else ""


def _asked_by(kind: str) -> tuple[str, ...]:
    """What the form asks beyond id and place."""
    if kind == "module":
        return ("array",)
    if kind == "battery":
        return ("bank",)
    if kind.startswith("panel-"):
        return ("ways",)
    return ("counts",) if kind == "shunt" else ()


def _new_run(look: Look, values: Mapping[str, str]) -> NewRun:
    ends = tuple(_end(look, values, *names) for names in (("from", "to"), ("to", "from")))
    start, stop = (e.end for e in ends)
    # Studs that were named for other ends than these are none for these.
    same = all(values.get(f"was.{e.name}", e.typed) in (e.typed, "") for e in ends)
    more = {k[5:]: v[:120].strip() for k, v in values.items() if k.startswith("pole.")} if same else {}
    how = joined(look, start, stop, more) if start is not None and stop is not None else None
    route: tuple[str, ...] = ()
    cables: tuple[CableFor, ...] = ()
    studs: dict[str, str] = {}
    metres = ""
    if how is not None and start is not None and stop is not None:
        studs = {p: more.get(p, "") for p in how.asks} if more else _studs(look, how, start, stop)
        if not more and sum(bool(t) for t in studs.values()) > 1:
            how = joined(look, start, stop, studs) or how
        route, metres = route_between(look.rig, start.address, stop.address)
        cables = cables_for(look, start.address, stop.address, how.poles)
    return NewRun(
        free_run(look.rig),
        ends,
        how,
        studs,
        cables,
        _cable(values, cables),
        values.get("length", "")[:60],
        route,
        metres,
        tuple(look.rig.host.ways),
        values.get("via", "")[:120],
        _trouble(ends, how),
        ends_of(look),
    )


def _end(look: Look, values: Mapping[str, str], name: str, other: str) -> EndChoice:
    """What is typed for an end, and what it means."""
    typed, there = (values.get(n, "")[:120].strip() for n in (name, other))
    found: tuple[End | None, tuple[End, ...]] = meant(look, typed, there) if typed else (None, ())
    return EndChoice(
        name, name, found[0].address if found[0] is not None else typed, found[0], _others(look, found)
    )


def _cable(values: Mapping[str, str], cables: tuple[CableFor, ...]) -> str:
    """The cable that was typed; what was only proposed for other ends gives way to what is proposed now."""
    typed = values.get("cable", "")[:120]
    if typed and typed != values.get("cables", ""):
        return typed
    return cables[0].text if cables and cables[0].proposed else ""


def _trouble(ends: tuple[EndChoice, ...], how: Joined | None) -> str:
    """Why no run can be laid between the ends as they are typed."""
    for e in ends:
        if e.typed and e.end is None and not e.among:
            return f"nothing here is called {e.typed}, or nothing more lands there"
    if how is None and all(e.end is not None for e in ends):
        return f"{ends[0].typed} and {ends[1].typed} have no pole in common"
    return ""


def _studs(look: Look, how: Joined, start: End, stop: End) -> dict[str, str]:
    lone = start if how.lone == "from" else stop
    studs = other_studs(look, how) if how.lone else {}
    mine = next((p for p in how.poles), "")
    return {p: lone.address if p == mine else studs.get(p, "") for p in how.asks}


def _others(look: Look, found: tuple[End | None, tuple[End, ...]]) -> tuple[End, ...]:
    """What else the same thing offers, to be pressed."""
    end, among = found
    if end is not None and not among:
        among = tuple(e for e in ends_of(look) if e.owner == end.owner)
    among = tuple(e for e in among if end is None or e.address != end.address)
    if len(among) > MOST_ENDS // 2:
        ports = tuple(e for e in among if len(e.poles) > 1 or e.address.count(".") < 2 or e.loose)
        mine = tuple(e for e in among if end is not None and e.address.startswith(f"{end.address}."))
        among = (*mine, *(e for e in ports if e not in mine)) if ports else among
    loose_first = sorted(among, key=lambda e: (not e.loose, bool(e.landed)))
    return tuple(loose_first[:MOST_ENDS])


# ------------------------------------------------------------------------------------- of the thing that is chosen


def cut_form(look: Look, owner: str) -> CutForm | None:
    """The form for a device in a run; None for anything else."""
    run = look.rig.runs.get(owner)
    if run is None or run.part_of or look.letter:
        return None
    return CutForm(
        proposed_id(look.rig, "fuse"),
        devices_for(look, run),
        tuple(c.pole for c in run.cores) if len(run.cores) > 1 else (),
        (("from", f"at {run.start}"), ("to", f"at {run.stop}")),
    )


def string_form(look: Look, owner: str) -> StringForm | None:
    """The form for other modules; None for anything but an array or a module."""
    part = look.rig.parts.get(owner)
    if part is None or part.kind.name != "module" or part.group or look.letter:
        return None
    modules = tuple(
        (r.id, r.title or r.id)
        for i in look.opened.shelf
        if (r := look.opened.shelf.find(i)) is not None and not r.bare and r.kind.name == "module"
    )
    goes = strings_of(look.rig, owner)
    sort = "pv 10 AWG" if look.rig.job.rules.startswith("us") else "pv 4 mm2"
    return StringForm(modules, part.record.id, max(1, part.per_string), max(1, part.strings), goes, sort)


def take_form(rig: Rig, owner: str) -> TakeForm | None:
    """What taking a part, run or load out would do."""
    if owner in rig.parts or owner in rig.use.loads or (owner in rig.runs and not rig.runs[owner].part_of):
        return TakeForm(goes_along(rig, owner), can_join(rig, owner) if owner in rig.parts else None)
    return None


def can_be_bank(rig: Rig, owner: str) -> bool:
    """Whether the chosen part is one battery that could become several."""
    part = rig.parts.get(owner)
    return part is not None and part.kind.name in _PILES and not is_group(part) and not part.group
