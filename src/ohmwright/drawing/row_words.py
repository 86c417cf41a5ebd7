"""The lettering of the three-line sheet: hubs with their terminals, conductors, devices, torques."""

from dataclasses import dataclass

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.lettering import plain, text_width
from ohmwright.drawing.page import BIG, EM, STEP
from ohmwright.drawing.pen import pole_name
from ohmwright.drawing.shapes import Text
from ohmwright.drawing.view import View
from ohmwright.drawing.words import COLOUR_CODES, NB, load_lines, part_lines, size_of
from ohmwright.rig.graph import Conductor
from ohmwright.rig.model import Rig
from ohmwright.rig.ports import is_group
from ohmwright.working import known

#: Height of a row.
PITCH = 5.25


@dataclass(frozen=True, slots=True)
class HubWords:
    """Reference and lines in a hub's box, and how many rows they take."""

    name: str
    lines: tuple[str, ...]
    group: str = ""
    """The bank it is a member of: its last line says so."""

    @property
    def width(self) -> float:
        """How wide the words are."""
        return max([text_width(self.name, BIG, "sans-bold"), *(text_width(w, EM) for w in self.lines)])

    @property
    def rows(self) -> int:
        """Rows that hold the words."""
        height = BIG * 0.9 + len(self.lines) * STEP + 0.9
        return max(1, -int(-height // PITCH))


def hub_words(view: View, hub: str) -> HubWords:
    """What stands in the box of a hub."""
    part = view.rig.parts.get(hub)
    if part is not None:
        lines = [w for w in part_lines(part, rig=view.rig) if w]
        if part.group and view.rig.parts[part.group].join is not None:
            return HubWords(plain(hub), (*lines, f"of {plain(part.group)}"), part.group)
        lines += _joins(view, hub)
        if part.found:
            lines.append("see as found")
        return HubWords(plain(hub), tuple(lines))
    load = view.rig.use.loads.get(hub)
    if load is not None:
        live = ("always live",) if hub in view.always else ()
        return HubWords(plain(hub), (*load_lines(load), *live))
    array = view.rig.parts.get(hub.rpartition(".")[0])
    if array is not None:
        return HubWords(plain(hub), (f"{array.per_string}{NB}in series", f"at {array.place}"))
    return HubWords(plain(hub), ())


def _joins(view: View, part: str) -> list[str]:
    """What the part's kind says of a neutral-earth join inside it, and when that is closed."""
    out = []
    for e in view.graph.elements.values():
        if e.owner != part or e.role != "bond" or view.kind(part) == "metal" or part in view.rig.runs:
            continue
        states = [
            " or ".join(sorted(s)) for name, s in e.when if view.graph.variables[name].rule != "unknown"
        ]
        unknown = any(view.graph.variables[name].rule == "unknown" for name, _ in e.when)
        told = f"N–PE joined when {', '.join(states)}" if states else "N–PE joined"
        out.append(f"{told}: not known" if unknown else told)
    return out


def terminal_word(hub: str, terminal: str) -> str:
    """A terminal as its device names it."""
    return pole_name(terminal.removeprefix(f"{hub}."))


def conductor_words(view: View, c: Conductor, *, first: bool) -> str:
    """Id, size, colour and length; the other cores of a cable bear their id alone."""
    run = view.rig.runs[c.run]
    name = f"{c.run} ({'−' if c.pole == '-' else c.pole})" if len(run.cores) > 1 else c.run
    if not first:
        return plain(name)
    size = size_of(run.cable, len(run.cores))
    length = f"{c.length_m:.3g}{NB}m" if c.length_m is not None else f"?{NB}m"
    colour = COLOUR_CODES.get(run.cable.colour, "")
    return " ".join(w for w in (plain(name), size, colour, length) if w)


def device_words(view: View, part: str) -> tuple[str, str]:
    """Reference and rating of a device on a strand, on one line."""
    lines = [w for w in part_lines(view.rig.parts[part]) if w]
    return plain(part), "  ".join(lines)


def torques(rig: Rig, canvas: Canvas) -> tuple[str, ...]:
    """The torque of every part on a sheet; a blank line where the maker's value is not in the file."""
    refs = {ref for ref, s in canvas.items if isinstance(s, Text)}
    parts = [p for p in rig.parts.values() if p.id in refs and p.kind.name != "module" and not is_group(p)]
    values = {p.id: known(p.figure("torque")) for p in parts}
    by_value: dict[str, list[str]] = {}
    for name, figure in values.items():
        told = f"{figure.value:.3g}{NB}N·m" if figure else f"____{NB}N·m"
        by_value.setdefault(told, []).append(name)
    return tuple(f"{told}: {', '.join(plain(n) for n in names)}" for told, names in sorted(by_value.items()))
