"""What follows when batteries protect themselves: one opens, the rest share its current, the next opens ..."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ohmwright.circuit.cases import cases_of
from ohmwright.circuit.solve import solve
from ohmwright.circuit.types import Case, Solution
from ohmwright.rig.graph import Graph
from ohmwright.rig.model import Part, Rig
from ohmwright.working import Figure, known


@dataclass(frozen=True, slots=True)
class Opening:
    """A battery that opens: what it carried and what it may carry (both above nothing), in order of opening."""

    battery: str
    carried_A: float
    limit_A: float
    charging: bool


@dataclass(frozen=True, slots=True)
class Cascade:
    """The end of the story: what opened in which order, whether the bank is dark, and the last state that stood.

    `missing` names figures without which a battery's opening cannot be told.
    """

    openings: tuple[Opening, ...]
    dark: bool
    last: Solution
    missing: tuple[str, ...] = ()

    @property
    def story(self) -> tuple[str, ...]:
        """In words."""
        verb = {True: "is charged with", False: "gives"}
        lines = [
            f"{o.battery} {verb[o.charging]} {o.carried_A:.0f} A, may {o.limit_A:.0f} A: it opens"
            for o in self.openings
        ]
        lines += [line for line in self.last.story if " stops: " in line]
        return (*lines, "no battery is left: everything goes dark") if self.dark else tuple(lines)


def cascade_of(rig: Rig, graph: Graph, case: Case) -> Cascade:
    """Open the battery that is furthest over its limit, solve again, until all that are left stand it or none is left."""
    openings: list[Opening] = []
    missing: dict[str, None] = {}
    while True:
        answer = solve(rig, graph, case)
        worst: tuple[float, Opening] | None = None
        for name, battery in answer.batteries.items():
            part = rig.parts[name]
            charging = battery.current_A > 0
            limit = limit_of(part, case.seconds, charging=charging)
            if limit is None:
                if abs(battery.current_A) > 1e-6:
                    missing.setdefault(f"{name}.{'charge_max' if charging else 'discharge_max'}")
                continue
            over = abs(battery.current_A) / limit.value
            if over > 1 + 1e-9 and (worst is None or over > worst[0]):
                worst = (over, Opening(name, abs(battery.current_A), limit.value, charging))
        if worst is None:
            return Cascade(tuple(openings), False, answer, tuple(missing))
        openings.append(worst[1])
        bank = answer.batteries[worst[1].battery].bank
        case = replace(case, missing=(*case.missing, worst[1].battery))
        if not any(b.bank == bank and name not in case.missing for name, b in answer.batteries.items()):
            return Cascade(tuple(openings), True, answer, tuple(missing))


def limit_of(part: Part, seconds: float | None, *, charging: bool) -> Figure | None:
    """What a battery carries for so many seconds, for ever when None: a printed peak that lasts, else the continuous limit."""
    if charging:
        return known(part.figure("charge_max"))
    lasting = known(part.figure("discharge_max"))
    if seconds is None:
        return lasting
    peaks = [
        f
        for n in ("discharge_peak", "discharge_peak_2")
        if (f := known(part.figure(n))) and (f.seconds or 0.0) >= seconds * (1 - 1e-9)
    ]
    options = [f for f in (*peaks, lasting) if f is not None]
    return max(options, key=lambda f: f.value, default=None)


def cascades_of(rig: Rig, graph: Graph, names: Sequence[str] | None = None) -> Mapping[str, Cascade]:
    """The stories of the heaviest cases of every bank whose members tell a limit, or of the cases named.

    Heaviest are every inverter at full power, and the same with the first member of the bank out.
    """
    limited = [
        p for p in rig.of_kind("battery") if known(p.figure("discharge_max")) or known(p.figure("charge_max"))
    ]
    if not limited:
        return {}
    cases = cases_of(rig, graph)
    banks = {p.group for p in limited if p.group}
    if names is None:
        full = [f"{p.id}-full" for p in rig.of_kind("inverter", "inverter-charger")]
        names = [n for n in (*full, *(f"{b}-one-out" for b in sorted(banks))) if n in cases]
    return {n: cascade_of(rig, graph, cases[n]) for n in names}
