"""The ports and terminals that runs may land on, with what stands behind them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from ohmwright.kinds.base import Inside, Pole, Port
from ohmwright.rig.model import Load, Metal, Part
from ohmwright.working import FileError
from ohmwright.working.quickly import quickly_made

AC_POLES = ("L", "N", "PE")
DC_POLES = ("+", "-")


@quickly_made
@dataclass(frozen=True, slots=True)
class Outlet:
    """A port of the rig: its address, who owns it, its poles and, in the same order, its terminals."""

    address: str
    owner: str
    poles: tuple[Pole, ...]
    terminals: tuple[str, ...]
    role: str = "dc"
    plug: str = ""
    takes: int = 1
    may_stay_free: bool = False


@dataclass(slots=True)
class Ports:
    """Every port and terminal by address. `inner` says of some why no run lands there, `insides` what each part is made of."""

    outlets: dict[str, Outlet] = field(default_factory=dict)
    terminals: dict[str, Outlet] = field(default_factory=dict)
    pole: dict[str, Pole] = field(default_factory=dict)
    inner: dict[str, str] = field(default_factory=dict)
    insides: dict[str, Inside] = field(default_factory=dict)

    def add(self, outlet: Outlet) -> None:
        """Take a port in."""
        self.outlets[outlet.address] = outlet
        for terminal, pole in zip(outlet.terminals, outlet.poles, strict=True):
            self.terminals[terminal] = outlet
            self.pole[terminal] = pole


@lru_cache(maxsize=1024)
def _built(make: object, words: tuple[tuple[str, str], ...]) -> Inside:
    return make(dict(words))  # type: ignore[operator, no-any-return]


def words_of(part: Part) -> dict[str, str]:
    """The words that the part's inside is built from: record, then file, then what each way has."""
    words = dict(part.record.words)
    words.update(part.words)
    for way, poles in part.way_words.items():
        words[f"way_{way}"] = poles
    return words


def inside_of(part: Part) -> Inside:
    """Ports, elements and variables of a part; a word that its kind refuses is a mistake of the file."""
    words = words_of(part)
    try:
        return _built(part.kind.inside, tuple(sorted(words.items())))
    except ValueError as error:
        message, _, remedy = str(error).partition("; ")
        raise FileError(
            f"{part.id}: {message}", at=part.position, remedy=remedy or "look at its words on the shelf"
        ) from None


def outlet_of(owner: str, port: Port) -> Outlet:
    """A port of a kind as an outlet of a part."""
    name = port.name
    address = f"{owner}.{name}" if name else owner
    terminals = tuple(f"{address}.{p}" if p else address for p in port.poles)
    return Outlet(address, owner, port.poles, terminals, port.role, port.plug, port.takes, port.may_stay_free)


def is_group(part: Part) -> bool:
    """True for a group or array as written: its members carry the insides."""
    return part.join is not None or part.count > 1 or part.strings > 0


def members(group: Part, parts: Mapping[str, Part]) -> list[Part]:
    """The batteries of a group, or the modules of an array, in order."""
    if group.strings:
        return [
            parts[f"{group.id}.{s}.{m}"]
            for s in range(1, group.strings + 1)
            for m in range(1, group.per_string + 1)
        ]
    return [parts[f"{group.id}.{n}"] for n in range(1, group.count + 1)]


def own_device(member: Part, parts: Mapping[str, Part]) -> Part | None:
    """The device on a member's post (`B.2.F`), or None."""
    prefix = member.id + "."
    return next((p for i, p in parts.items() if i.startswith(prefix)), None)


def ports_of(parts: Mapping[str, Part], loads: Mapping[str, Load], metal: Iterable[Metal]) -> Ports:
    """The table of all ports. Parts first, then groups' take-offs, loads, metal bodies."""
    table = Ports()
    for part in parts.values():
        if is_group(part):
            continue
        inside = table.insides[part.id] = inside_of(part)
        for port in inside.ports:
            outlet = outlet_of(part.id, port)
            table.add(outlet)
            if not port.takes:
                _close(outlet, f"it lies inside {part.id}: write one of its own terminals", table)
    for part in parts.values():
        if part.strings:
            _array(part, parts, table)
        elif is_group(part):
            _group(part, parts, table)
    for load in loads.values():
        for outlet in load_outlets(load, table):
            table.add(outlet)
    for body in metal:
        table.add(Outlet(body.id, body.id, ("",), (body.id,), "metal", takes=99, may_stay_free=True))
    return table


def _array(group: Part, parts: Mapping[str, Part], table: Ports) -> None:
    single = group.strings == 1
    for s in range(1, group.strings + 1):
        address = group.id if single else f"{group.id}.{s}"
        table.add(Outlet(address, group.id, DC_POLES, (f"{address}.+", f"{address}.-"), "pv"))
    remedy = f"write {group.id}, its only string" if single else f"write {group.id}.1, a string"
    if single:
        table.inner[f"{group.id}.1"] = remedy
    for module in members(group, parts):
        for outlet in [o for o in table.outlets.values() if o.owner == module.id]:
            if outlet.role in ("pv", "dc"):
                _close(outlet, remedy + "; or ungroup it", table)


def _group(group: Part, parts: Mapping[str, Part], table: Ports) -> None:
    join = group.join
    first = parts[f"{group.id}.1"]
    main = main_outlet(first, table)
    if join is not None and join.how == "busbars":
        bar = {"+": join.plus, "-": join.minus}
        for pole in DC_POLES:
            stud = bar[pole].rpartition(".")[0] or bar[pole]
            table.inner[f"{group.id}.{pole}"] = f"write {stud}.n, a stud of its bar"
        table.inner[group.id] = (
            f"write studs of its bars, {join.plus.rpartition('.')[0]}.n and {join.minus.rpartition('.')[0]}.n"
        )
    else:
        takes = main.takes if main else 1
        table.add(Outlet(group.id, group.id, DC_POLES, (f"{group.id}.+", f"{group.id}.-"), "dc", takes=takes))
    for member in members(group, parts):
        where = (
            f"{group.id}.+ or {group.id}.-, the group's take-off"
            if join is None or join.how != "busbars"
            else "a stud of its bar"
        )
        outlet = main_outlet(member, table)
        if outlet is not None:
            _close(outlet, f"write {where}; or ungroup it", table, as_found=True)
        device = own_device(member, parts)
        if device is not None:
            for o in [o for o in table.outlets.values() if o.owner == device.id]:
                _close(o, f"write {where}; or ungroup it", table)


AS_FOUND = "(as found) "


def _close(outlet: Outlet, remedy: str, table: Ports, *, as_found: bool = False) -> None:
    """No run lands here; at the stage `as found` a member's own posts are let through."""
    mark = AS_FOUND if as_found else ""
    table.inner[outlet.address] = mark + remedy
    for terminal in outlet.terminals:
        table.inner[terminal] = mark + remedy


def main_outlet(part: Part, table: Ports) -> Outlet | None:
    """The port with the power poles of a battery or module."""
    for port in table.insides[part.id].ports:
        if port.poles == DC_POLES:
            return table.outlets[f"{part.id}.{port.name}" if port.name else part.id]
    return None


def load_poles(load: Load, table: Ports) -> dict[str, tuple[Pole, ...]]:
    """The poles of a load's ports: "" when it has one feed, else "dc" and "ac"."""
    if load.wired:
        return {"": DC_POLES if load.wired == "dc" else AC_POLES}
    out: dict[str, tuple[Pole, ...]] = {}
    for name, way in load.fed.items():
        outlet = table.outlets.get(way)
        if outlet is not None:
            out[name] = outlet.poles
    return out


def load_outlets(load: Load, table: Ports) -> list[Outlet]:
    """The ports of a load; one that is neither fed nor wired has none yet."""
    out = []
    for name, poles in load_poles(load, table).items():
        address = f"{load.id}.{name}" if name else load.id
        terminals = tuple(f"{address}.{p}" if p else address for p in poles)
        out.append(
            Outlet(
                address,
                load.id,
                poles,
                terminals,
                "ac" if "N" in poles or "L" in poles or "L1" in poles else "dc",
                takes=2,
            )
        )
    return out
