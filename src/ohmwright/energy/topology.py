"""Which array hangs on which controller, and what feeds a load: read from the runs."""

from collections import deque
from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class Wiring:
    """The runs of a rig as neighbours by top-level part."""

    rig: Rig
    ends: dict[str, tuple[tuple[str, str], ...]]
    """part -> (own address, other address) of each core that ends on it."""

    @classmethod
    def of(cls, rig: Rig) -> "Wiring":
        """Read the runs once."""
        ends: dict[str, list[tuple[str, str]]] = {}
        for run in rig.runs.values():
            for core in run.cores:
                ends.setdefault(top(core.a), []).append((core.a, core.b))
                ends.setdefault(top(core.b), []).append((core.b, core.a))
        return cls(rig, {k: tuple(v) for k, v in ends.items()})

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
