"""Where conductors land: how many on each terminal, and which terminals have none."""

from dataclasses import dataclass

from ohmwright.rig.graph import Graph


@dataclass(frozen=True, slots=True)
class Landing:
    """The conductors on one terminal. A take-off is the stud it is taken from, and counts with it."""

    terminal: str
    conductors: tuple[str, ...]
    takes: int

    @property
    def too_many(self) -> bool:
        """More conductors than the terminal takes."""
        return len(self.conductors) > self.takes


def landings(graph: Graph) -> dict[str, Landing]:
    """What lands on every terminal that has a conductor, cords that are plugged left out."""
    stud = {e.b: e.a for e in graph.elements.values() if e.role == "takeoff"}
    on: dict[str, list[str]] = {}
    for c in graph.conductors.values():
        for end in (c.a, c.b):
            on.setdefault(stud.get(end, end), []).append(c.id)
    return {t: Landing(t, tuple(cs), graph.terminals[t].takes) for t, cs in on.items()}


def loose_ends(graph: Graph) -> tuple[str, ...]:
    """Terminals that nothing outside their part touches, though their kind wants them wired.

    A port of which only some poles are wired counts by its poles: a plus without its minus is loose.
    """
    wired: set[str] = set()
    for c in graph.conductors.values():
        wired.update((c.a, c.b))
    for e in graph.elements.values():
        if e.role in ("plug", "takeoff", "post", "module-link", "bolted", "metal"):
            wired.update((e.a, e.b))
    return tuple(
        t.id for t in graph.terminals.values() if t.id not in wired and not t.may_stay_free and not t.is_metal
    )
