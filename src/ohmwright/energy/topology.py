"""Which array hangs on which controller, and what feeds a load: read from the runs."""

from collections import deque
from dataclasses import dataclass, field, replace

from ohmwright.rig.model import Load, Part, Rig
from ohmwright.working import Figure

THROUGH = (
    "string-join",
    "surge-dc",
    "switch",
    "pv-disconnect",
    "breaker",
    "fuse",
    "battery-switch",
    "selector",
    "contactor",
    "shunt",
)
CONTROLLERS = ("pv-controller", "pv-controller-pwm")
#: What carries the plus side of a bank on to its loads, whatever its state.
PLUS_THROUGH = ("busbar", "switch", "breaker", "fuse", "battery-switch", "selector", "contactor", "shunt")


@dataclass(frozen=True, slots=True)
class Wiring:
    """The runs of a rig as neighbours by top-level part."""

    rig: Rig
    ends: dict[str, tuple[tuple[str, str], ...]]
    """part -> (own address, other address) of each core that ends on it."""
    beside: dict[str, str] = field(default_factory=dict)
    """DC loads that hang on a bank beside the house bank alone, with that bank."""
    carried: dict[str, float] = field(default_factory=dict)
    """Banks beside it that a DC-DC charger fills from the house bank, with its efficiency."""

    @classmethod
    def of(cls, rig: Rig) -> "Wiring":
        """Read the runs once."""
        ends: dict[str, list[tuple[str, str]]] = {}
        for run in rig.runs.values():
            for core in run.cores:
                ends.setdefault(top(core.a), []).append((core.a, core.b))
                ends.setdefault(top(core.b), []).append((core.b, core.a))
        plain = cls(rig, {k: tuple(v) for k, v in ends.items()})
        banks = [p.id for p in banks_by_size(rig)]
        if len(banks) < 2:
            return plain
        beside = {}
        for load in rig.use.loads.values():
            on = plain.banks_of(load)
            if on and banks[0] not in on:
                beside[load.id] = next(b for b in banks if b in on)
        return replace(plain, beside=beside, carried=plain._filled_from(banks[0]))

    def banks_of(self, load: Load) -> frozenset[str]:
        """The banks that can feed a DC load: its plus side followed to batteries, through what stands in the line, in any state."""
        way = load.fed.get("dc") or load.fed.get("")
        start, port = (top(way), "feed.+") if way else (load.id, "+")
        return self._plus(start, port)

    def _filled_from(self, house: str) -> dict[str, float]:
        out: dict[str, float] = {}
        for charger in self.rig.of_kind("dcdc-charger"):
            if house not in self._plus(charger.id, "in.+"):
                continue
            given = charger.with_default("efficiency")
            for bank in self._plus(charger.id, "out.+") - {house}:
                out[bank] = given.value if isinstance(given, Figure) else 0.9
        return out

    def _plus(self, start: str, port: str) -> frozenset[str]:
        """The batteries that stand behind a plus terminal."""
        bars = {top(p.join.plus): p.id for p in self.rig.parts.values() if p.join is not None and p.join.plus}
        found: set[str] = set()
        seen = {start}
        queue: deque[tuple[str, tuple[str, ...]]] = deque([(start, (port,))])
        while queue:
            here, ports = queue.popleft()
            for own, other in self.ends.get(here, ()):
                if not any(own.startswith(f"{here}.{p}" if p else here) for p in ports):
                    continue
                part = top(other)
                kind = self.kind(part)
                if part in bars:
                    found.add(bars[part])
                if kind == "battery" and other.endswith(".+"):
                    found.add(self.rig.parts[part].group or part)
                elif part not in seen and (onward := _onward(kind, other)) is not None:
                    seen.add(part)
                    queue.append((part, onward))
        return frozenset(found)

    def kind(self, part: str) -> str:
        """The kind of a part, "" for metal and loads."""
        found = self.rig.parts.get(part)
        return found.kind.name if found is not None else ""

    def controllers_of(self, array: str) -> tuple[str, ...]:
        """The PV controllers that an array's runs lead to."""
        return self._reach(array, CONTROLLERS, only_from="", into="pv")

    def _reach(self, start: str, kinds: tuple[str, ...], only_from: str, into: str) -> tuple[str, ...]:
        found: list[str] = []
        seen = {start}
        queue = deque([start])
        while queue:
            here = queue.popleft()
            for own, other in self.ends.get(here, ()):
                if here == start and only_from and not own.startswith(f"{start}.{only_from}"):
                    continue
                part = top(other)
                if part in seen:
                    continue
                if self.kind(part) in kinds:
                    if not into or other.startswith(f"{part}.{into}"):
                        seen.add(part)
                        found.append(part)
                elif self.kind(part) in THROUGH:
                    seen.add(part)
                    queue.append(part)
        return tuple(found)

    def is_ac(self, load: Load, supplied: bool) -> bool | None:
        """Whether a load draws AC; None when nothing says."""
        if "ac" in load.fed and "dc" in load.fed:
            return supplied
        for side in ("ac", "dc"):
            if side in load.fed or load.wired == side:
                return side == "ac"
        panel = load.fed.get("")
        if panel is not None:
            kind = self.kind(top(panel))
            return kind == "panel-ac" if kind.startswith("panel-") else None
        return None

    def supply_ratio(self, load: Load) -> float:
        """Efficiency of the DC-DC supply between the bank and the panel that feeds a load; 1 when there is none."""
        way = load.fed.get("dc") or load.fed.get("")
        supplies = self._reach(top(way), ("dcdc-supply",), "feed", "out") if way else ()
        if len(supplies) != 1:
            return 1.0
        given = self.rig.parts[supplies[0]].with_default("efficiency")
        return given.value if isinstance(given, Figure) else 0.9


def _onward(kind: str, address: str) -> tuple[str, ...] | None:
    """From which ports the plus side goes on that has come in at an address; None where it ends.

    A selector joins its common side to one of the others, never those to each other.
    """
    if kind == "dcdc-supply":
        return ("in.+",) if ".out.+" in address else None
    if kind == "selector":
        return ("a", "b") if ".common" in address else ("common",)
    return ("",) if kind in PLUS_THROUGH else None


def banks_by_size(rig: Rig) -> list[Part]:
    """The banks of a rig, the house bank first: the largest that is no start battery. Members written out by themselves count as their group."""
    found = [p for p in rig.parts.values() if p.kind.name == "battery" and not p.group]
    first: dict[str, Part] = {}
    for p in rig.parts.values():
        if p.kind.name == "battery" and p.group and p.group not in rig.parts:
            first.setdefault(p.group, p)
    found += [replace(p, id=group, group="") for group, p in first.items()]

    def size_Wh(bank: Part) -> float:
        known = [(p.figure("capacity"), p.figure("nominal_voltage")) for p in members(rig, bank, "battery")]
        return sum(
            (c.value if isinstance(c, Figure) else 0.0) * (v.value if isinstance(v, Figure) else 12.0)
            for c, v in known
        )

    return sorted(
        found,
        key=lambda p: (members(rig, p, "battery")[0].word("chemistry") != "start", size_Wh(p)),
        reverse=True,
    )


def top(address: str) -> str:
    """The first word of an address."""
    return address.split(".", 1)[0]


def members(rig: Rig, group: Part, kind: str) -> tuple[Part, ...]:
    """The members of a group or array of that kind, or the part itself."""
    inside = tuple(
        p
        for p in rig.parts.values()
        if p.kind.name == kind and (p.group == group.id or p.id.startswith(f"{group.id}."))
    )
    return inside or (group,)
