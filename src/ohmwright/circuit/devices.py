"""Which elements break an overcurrent, under which address, and what they are rated."""

from dataclasses import dataclass

from ohmwright.rig.graph import Element
from ohmwright.rig.model import Rig
from ohmwright.working import Absent, Given, known
from ohmwright.working.quickly import quickly_made

#: Elements that are an overcurrent device by what they do inside their part.
BREAKING_ROLES = frozenset({"fuse", "way", "own-breaker", "post-breaker", "string-fuse"})
#: Kinds whose contacts open by themselves on too much current.
BREAKING_KINDS = frozenset({"breaker", "rcbo"})


@quickly_made
@dataclass(frozen=True, slots=True)
class Device:
    """An overcurrent device: `id` is a part, or a panel's way."""

    id: str
    part: str
    rated: Given

    @property
    def rated_A(self) -> float | None:
        """Its rating, None when not known."""
        figure = known(self.rated)
        return figure.value if figure else None


def device_of(rig: Rig, element: Element) -> Device | None:
    """The overcurrent device that an element is, or None."""
    part = rig.parts.get(element.owner)
    if part is None or element.kind not in ("conductor", "switch"):
        return None
    if element.role == "way":
        number = _way(element)
        return Device(
            f"{part.id}.{number}", part.id, part.ways.get(number, Absent(address=f"{part.id}.ways.{number}"))
        )
    if element.role == "main" and part.kind.name == "panel-ac":
        return Device(f"{part.id}.main", part.id, part.figure("rated"))
    if element.role in ("own-breaker", "post-breaker"):
        return Device(part.id, part.id, part.figure("rated" if element.role == "post-breaker" else "breaker"))
    if element.role in BREAKING_ROLES or part.kind.name in BREAKING_KINDS:
        return Device(part.id, part.id, part.figure("rated"))
    return None


def _way(element: Element) -> str:
    """`PD.way-3` or `PA.way-3.L` -> `3`."""
    name = element.id[len(element.owner) + 1 :]
    return name.removeprefix("way-").partition(".")[0]
