"""What changed between two rig files, address by address."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, TypeVar

from ohmwright.change.surfaces import on_surfaces
from ohmwright.rig.model import Load, Part, Rig, Run
from ohmwright.rig.questions import every_figure
from ohmwright.working import Figure, Given, NotThere, Unknown

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is otherwise; `was` or `becomes` is "" where there was or will be nothing."""

    address: str
    how: Literal["added", "removed", "changed"]
    was: str
    becomes: str


def differences(old: Rig, new: Rig) -> tuple[Difference, ...]:
    """Every difference that means something to the rig; order of keys, comments and spacing do not."""
    return (
        *_heads(old, new),
        *_things(old.parts, new.parts, _part_words),
        *_each(old, new),
        *_things(old.use.loads, new.use.loads, _load_words),
        *_things(_written(old.runs), _written(new.runs), _run_words),
        *_surfaces(old, new),
        *_figures(old, new),
        *_words(old, new),
    )


def _heads(old: Rig, new: Rig) -> Iterator[Difference]:
    for name in ("rules", "edition", "stage", "currency", "units"):
        a, b = getattr(old.job, name), getattr(new.job, name)
        if a != b:
            yield Difference(f"job.{name}", "changed", str(a), str(b))
    for place in sorted({*old.host.places, *new.host.places}):
        a, b = (r.host.places.get(place) for r in (old, new))
        if a is None or b is None:
            yield Difference(
                place, "added" if a is None else "removed", a.regime if a else "", b.regime if b else ""
            )
        elif a.regime != b.regime:
            yield Difference(f"{place}.regime", "changed", a.regime, b.regime)


def _surfaces(old: Rig, new: Rig) -> Iterator[Difference]:
    """Modules, outlines and obstacles; what came or went with its part or place is told there."""
    a, b = on_surfaces(old), on_surfaces(new)
    there = [{*r.parts, *r.host.places} for r in (old, new)]
    for address in (*a, *(k for k in b if k not in a)):
        was, becomes = a.get(address, ""), b.get(address, "")
        owner = (
            address.partition(".obstacles.")[0] if ".obstacles." in address else address.rpartition(".")[0]
        )
        if was != becomes and all(owner in names for names in there):
            yield Difference(
                address, "changed" if was and becomes else "added" if becomes else "removed", was, becomes
            )


def _written(runs: Mapping[str, Run]) -> dict[str, Run]:
    return {k: r for k, r in runs.items() if not r.part_of}


def _each(old: Rig, new: Rig) -> Iterator[Difference]:
    """What every member of a group has of its own: `B.*.F`."""
    was_each, becomes_each = _devices(old), _devices(new)
    for name in old.parts:
        if name not in new.parts:
            continue
        a, b = was_each.get(name, {}), becomes_each.get(name, {})
        for key in sorted({*a, *b}):
            was, becomes = a.get(key, ""), b.get(key, "")
            if was != becomes:
                how: Literal["added", "removed", "changed"] = (
                    "changed" if was and becomes else "added" if becomes else "removed"
                )
                yield Difference(f"{name}.*.{key}", how, was, becomes)


def _devices(rig: Rig) -> dict[str, dict[str, str]]:
    """By group: the devices that its members have of their own, by their name in the group."""
    out: dict[str, dict[str, dict[str, None]]] = {}
    for part in rig.parts.values():
        words = part.id.removeprefix(f"{part.group}.").split(".") if part.group else []
        if len(words) == 2 and words[0].isdecimal() and not words[1].isdecimal():
            out.setdefault(part.group, {}).setdefault(words[1], {})[part.record.id] = None
    return {group: {k: ", ".join(v) for k, v in each.items()} for group, each in out.items()}


def _part_words(part: Part) -> Mapping[str, str]:
    out = {"is": part.record.id, "at": part.place}
    if part.strings:
        out["array"] = f"{part.per_string}s{part.strings}p"
    if part.count > 1:
        out["count"] = str(part.count)
    if part.join:
        out["join"] = " ".join(
            w
            for w in (
                part.join.how,
                part.join.takeoff,
                part.join.link.text if part.join.link else "",
                part.join.lead.text if part.join.lead else "",
            )
            if w
        )
    return out | {k: v for k, v in part.words.items() if v}


def _run_words(run: Run) -> Mapping[str, str]:
    return {
        "from": run.start,
        "to": run.stop,
        "cable": run.cable.text,
        "via": ", ".join(run.via),
        "role": run.role,
    }


def _load_words(load: Load) -> Mapping[str, str]:
    return {
        "fed": ", ".join(f"{k + ' ' if k else ''}{v}" for k, v in load.fed.items()),
        "priority": load.priority,
        "only": " ".join(load.only),
    }


def _things(
    old: Mapping[str, T], new: Mapping[str, T], words: Callable[[T], Mapping[str, str]]
) -> Iterator[Difference]:
    for name in (*old, *(n for n in new if n not in old)):
        if _member(name, old, new):
            continue
        a, b = (words(m[name]) if name in m else None for m in (old, new))
        if a is None or b is None:
            yield Difference(name, "added" if a is None else "removed", _told(a), _told(b))
            continue
        for key in (*a, *(k for k in b if k not in a)):
            if a.get(key, "") != b.get(key, ""):
                yield Difference(f"{name}.{key}", "changed", a.get(key, ""), b.get(key, ""))


def _member(name: str, old: Mapping[str, object], new: Mapping[str, object]) -> bool:
    thing = old.get(name) or new.get(name)
    return isinstance(thing, Part) and bool(thing.group)


def _told(words: Mapping[str, str] | None) -> str:
    return ", ".join(v for v in words.values() if v) if words else ""


def _figures(old: Rig, new: Rig) -> Iterator[Difference]:
    """Figures that the files themselves say: those of shelf records follow from the part that was chosen."""
    a, b = (_own_figures(r) for r in (old, new))
    heads = {*old.parts, *old.runs, *old.use.loads} ^ {*new.parts, *new.runs, *new.use.loads}
    for address in (*a, *(k for k in b if k not in a)):
        if address.partition(".")[0] in heads:
            continue
        was, becomes = a.get(address, ""), b.get(address, "")
        if was != becomes:
            yield Difference(
                address, "changed" if was and becomes else "added" if becomes else "removed", was, becomes
            )


_LAST: list[tuple[Rig, dict[str, str]]] = []


def _own_figures(rig: Rig) -> dict[str, str]:
    """Kept for the rigs last asked about: after an edit the one before it is asked again."""
    for kept, figures in _LAST:
        if kept is rig:
            return figures
    figures = _told_figures(rig)
    _LAST[:] = [(rig, figures), *_LAST[:1]]
    return figures


def _told_figures(rig: Rig) -> dict[str, str]:
    out = {}
    for address, given in every_figure(rig, own=True):
        head, _, name = address.rpartition(".")
        part = rig.parts.get(head)
        if part is not None and name not in part.figures:
            continue
        if isinstance(given, Figure) and given.origin.kind == "computed":
            continue
        out[address] = told(given)
    return out


def told(given: Given) -> str:
    """A figure as the file says it, without its origin."""
    if isinstance(given, Figure):
        return (
            given.text.partition(" (")[0]
            or f"{given.value:.6g} {given.unit if given.unit != '1' else ''}".strip()
        )
    return "unknown" if isinstance(given, Unknown) else "none" if isinstance(given, NotThere) else ""


def _words(old: Rig, new: Rig) -> Iterator[Difference]:
    for part in sorted({*old.settings, *new.settings}):
        a, b = (r.settings.get(part, {}) for r in (old, new))
        for key in (*a, *(k for k in b if k not in a)):
            x, y = (str(m.get(key, "")) if isinstance(m.get(key, ""), str) else "" for m in (a, b))
            if x != y:
                yield Difference(
                    f"settings.{part}.{key}", "changed" if x and y else "added" if y else "removed", x, y
                )
    for what, a, b in (
        (
            "looked-at",
            {f"{x.rule} {x.subject}": x.found for x in old.looked_at},
            {f"{x.rule} {x.subject}": x.found for x in new.looked_at},
        ),
        (
            "overrides",
            {f"{x.rule} {x.subject}": x.why for x in old.overrides},
            {f"{x.rule} {x.subject}": x.why for x in new.overrides},
        ),
    ):
        for key in (*a, *(k for k in b if k not in a)):
            if a.get(key) != b.get(key):
                yield Difference(
                    f"{what} {key}",
                    "changed" if key in a and key in b else "added" if key in b else "removed",
                    a.get(key, ""),
                    b.get(key, ""),
                )
