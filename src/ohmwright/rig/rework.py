"""Rework of a rig file: a device set into a run, a thing taken out with what hangs on it, two runs joined again."""

from dataclasses import dataclass

from ohmwright.rig.edit import set_value
from ohmwright.rig.entries import remove_entry
from ohmwright.rig.insert import put_entry, take_entry, take_keys
from ohmwright.rig.model import Part, Rig, Run
from ohmwright.rig.ports import inside_of, outlet_of
from ohmwright.rig.splice import as_scalar, root_of
from ohmwright.rig.telling import refuse
from ohmwright.shelf.record import Record
from ohmwright.working import NOWHERE, Figure, Position
from ohmwright.working import tree as t

#: Two conductors are joined again only where a device has one run at either side.
_SIDES = 2


@dataclass(frozen=True, slots=True)
class Along:
    """What cannot stay when a thing is taken out: runs that end on it, loads that it feeds, parts that name it."""

    runs: tuple[str, ...] = ()
    loads: tuple[str, ...] = ()
    parts: tuple[tuple[str, str], ...] = ()
    """A part, and the key in which it names the thing."""


@dataclass(frozen=True, slots=True)
class CutIn:
    """A device to be set into a run: near which end, on which pole, how far from it."""

    run: str
    end: str
    pole: str
    device: str
    record: Record
    piece: str
    metres: float


def belongs(address: str, name: str) -> bool:
    """Whether an address names that thing or something of it."""
    return address == name or address.startswith(f"{name}.")


def goes_along(rig: Rig, name: str) -> Along:
    """What cannot stay when `name` goes."""
    runs = tuple(
        r.id
        for r in rig.runs.values()
        if not r.part_of and r.id != name and any(belongs(x, name) for c in r.cores for x in (c.a, c.b))
    )
    loads = tuple(
        x.id for x in rig.use.loads.values() if x.id != name and any(belongs(w, name) for w in x.fed.values())
    )
    parts = []
    for p in rig.parts.values():
        if p.group or p.id == name:
            continue
        parts += [(p.id, key) for key in ("counts", "watches") if name in p.words.get(key, "").split()]
        if p.join is not None and any(belongs(bar, name) for bar in (p.join.plus, p.join.minus)):
            parts.append((p.id, "join"))
    return Along(runs, loads, tuple(parts))


def take_out(text: str, file: str, rig: Rig, name: str) -> str:
    """The text without a part, run or load, and without what hangs on it."""
    along = goes_along(rig, name)
    hung = next((p for p, key in along.parts if key == "join"), "")
    if hung:
        refuse(Position(file, 1, 1), f"the bank {hung} hangs on {name}", f"take {hung} out first", name)
    for run in along.runs:
        text = take_entry(text, file, "runs", run)
    for load in along.loads:
        text = take_keys(text, file, ("use", "loads", load), frozenset({"fed", "feeds"}))
    for part, key in along.parts:
        text = take_keys(text, file, ("parts", part), frozenset({key}))
    text = _without_remarks(text, file, (name, *along.runs))
    if name in rig.use.loads:
        for case in rig.cases.values():
            text = take_keys(text, file, ("cases", case.id, "loads"), frozenset({name}))
        return remove_entry(text, file, ("use", "loads", name))
    return take_entry(text, file, "runs" if name in rig.runs else "parts", name)


def _without_remarks(text: str, file: str, names: tuple[str, ...]) -> str:
    """What was looked at and what was accepted goes with its subject."""
    for section in ("looked-at", "overrides"):
        found = root_of(text, file).get(section)
        items = found.items if isinstance(found, t.Sequence) else ()
        for n in range(len(items), 0, -1):
            item = items[n - 1]
            subject = item.get("subject") if isinstance(item, t.Mapping) else None
            if isinstance(subject, t.Scalar) and any(belongs(subject.text, name) for name in names):
                text = remove_entry(text, file, (section, str(n)))
    return text


# ------------------------------------------------------------------------------------------------ another array

#: What stands between a string and the devices of the whole array: it goes when its string goes.
_OF_STRINGS = ("fuse", "string-join")


@dataclass(frozen=True, slots=True)
class Strings:
    """What another number of strings takes with it, and the ports at which the rest of the rig is then left."""

    parts: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    length: str = ""
    """Of the longest run that goes, as the file writes it."""


def strings_of(rig: Rig, array: str) -> Strings:
    """What leads from the strings of an array to the devices of the whole: runs, fuses of strings, where they join."""
    runs = {r.id: r for r in rig.runs.values() if not r.part_of}

    def touching(name: str) -> list[str]:
        return [i for i, r in runs.items() if any(belongs(x, name) for c in r.cores for x in (c.a, c.b))]

    gone = dict.fromkeys(touching(array))
    parts: dict[str, None] = {}
    grew = True
    while grew:
        grew = False
        for part in rig.parts.values():
            if part.kind.name not in _OF_STRINGS or part.id in parts or part.group:
                continue
            mine = touching(part.id)
            if any(r in gone for r in mine) and sum(r not in gone for r in mine) <= 1:
                parts[part.id] = None
                gone.update(dict.fromkeys(mine))
                grew = True
    ends = {x for i in gone for c in runs[i].cores for x in (c.a, c.b)}
    left = {
        x.rpartition(".")[0] if x.rpartition(".")[2] in ("+", "-") else x
        for x in ends
        if not any(belongs(x, name) for name in (array, *parts))
    }
    longest = max((runs[i] for i in gone), key=lambda r: _typed_m(r) or 0.0, default=None)
    metres = _typed_m(longest) if longest is not None else None
    return Strings(
        tuple(parts), tuple(gone), tuple(sorted(left)), f"{metres:g} m" if metres is not None else ""
    )


def restrung(
    text: str, file: str, rig: Rig, array: str, record: str, shape: tuple[int, int], run: tuple[str, str]
) -> str:
    """The text with other modules: so many in series, so many strings. `run` is an id and a cable for one string alone."""
    old = rig.parts[array]
    text = set_value(text, file, f"parts.{array}.is", record)
    before = (max(1, old.per_string), max(1, old.strings))
    if before == shape:
        return text
    text = take_keys(text, file, ("parts", array), frozenset({"laid", "but"}))
    text = set_value(text, file, f"parts.{array}.array", f"{shape[0]}s{shape[1]}p")
    if before[1] == shape[1]:
        return text
    goes = strings_of(rig, array)
    for name in goes.runs:
        text = take_entry(text, file, "runs", name)
    for name in goes.parts:
        text = take_entry(text, file, "parts", name)
    text = _without_remarks(text, file, (*goes.parts, *goes.runs))
    if shape[1] == 1 and len(goes.left) == 1 and run[1]:
        length = f", length: {goes.length}" if goes.length else ""
        entry = f"{{from: {array}, to: {goes.left[0]}, cable: {as_scalar(run[1], NOWHERE)}{length}}}"
        text = put_entry(text, file, "runs", run[0], entry)
    return text


# --------------------------------------------------------------------------------------------- into a run, and out


def sides_of(record: Record, name: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The two ports of a device that stands in a conductor, each with its poles; () for any other part."""
    if not record.kind.series:
        return ()
    ports = [
        p for p in inside_of(Part(name, record)).ports if p.takes and p.role not in ("case", "signal", "data")
    ]
    if len(ports) < _SIDES:
        return ()
    return tuple((outlet_of(name, p).address, p.poles) for p in ports[:_SIDES])


def cut_in(text: str, file: str, rig: Rig, cut: CutIn) -> str:
    """The run cut near one of its ends: a short piece, the device, and the rest. The device's line faces the run's start."""
    run = rig.runs[cut.run]
    sides = sides_of(cut.record, cut.device)
    if not sides:
        refuse(
            run.position,
            f"{cut.record.id} does not stand in a conductor",
            "choose a fuse, breaker, switch or shunt",
        )
    whole = len(run.cores) == 1 or sides[0][1] == tuple(c.pole for c in run.cores)
    core = run.cores[0] if whole else next((c for c in run.cores if c.pole == cut.pole), None)
    if core is None or (not whole and len(sides[0][1]) > 1):
        refuse(
            run.position,
            f"{cut.run} has {len(run.cores)} conductors, {cut.record.id} breaks {len(sides[0][1])}",
            "say which pole it stands in, or choose a device with as many poles",
        )
    (near, far) = (sides[0][0], sides[1][0]) if cut.end == "from" else (sides[1][0], sides[0][0])
    end = run.start if cut.end == "from" else run.stop
    terminal = core.a if cut.end == "from" else core.b
    there = _quoted(end) if whole else terminal
    cable = run.cable.text if whole else _single(run, core.pole)
    first, last = (there, near) if cut.end == "from" else (near, there)
    piece = f"{{from: {first}, to: {last}, cable: {as_scalar(cable, NOWHERE)}, length: {cut.metres:g} m}}"
    place = _place(rig, terminal)
    device = f"{{is: {cut.record.id}{f', at: {place}' if place else ''}}}"
    text = set_value(
        text, file, f"runs.{run.id}.{cut.end}", far if whole else _ends(run, cut.end, core.pole, far)
    )
    if (length := _typed_m(run)) is not None:
        text = set_value(text, file, f"runs.{run.id}.length", f"{max(length - cut.metres, 0.02):.4g} m")
    text = put_entry(text, file, "runs", cut.piece, piece, after=run.id)
    return put_entry(text, file, "parts", cut.device, device)


def can_join(rig: Rig, name: str) -> tuple[str, str] | None:
    """The run that would stay and the run that would go, when `name` is taken out of a conductor; None where that is not plain."""
    part = rig.parts.get(name)
    sides = sides_of(part.record, name) if part is not None and not part.group else ()
    landed = [
        [
            r
            for r in rig.runs.values()
            if not r.part_of and any(belongs(x, port) for c in r.cores for x in (c.a, c.b))
        ]
        for port, _ in sides
    ]
    if [len(runs) for runs in landed] != [1, 1] or landed[0][0] is landed[1][0]:
        return None
    runs = sorted((landed[0][0], landed[1][0]), key=lambda r: (len(r.cores), _typed_m(r) or 0.0))
    if len(runs[0].cores) > 1 and len(runs[0].cores) != len(runs[1].cores):
        return None
    return runs[1].id, runs[0].id


def join_again(text: str, file: str, rig: Rig, name: str) -> str:
    """The text without a device, its two runs made one."""
    pair = can_join(rig, name)
    if pair is None:
        refuse(
            Position(file, 1, 1), f"{name} does not stand between two runs", "take it out with its runs", name
        )
    stays, goes = rig.runs[pair[0]], rig.runs[pair[1]]
    far = goes.stop if any(belongs(c.a, name) for c in goes.cores) else goes.start
    end = "from" if any(belongs(c.a, name) for c in stays.cores) else "to"
    if len(goes.cores) == len(stays.cores):
        there = _quoted(far)
    else:
        pole = next(c.pole for c in stays.cores if belongs(c.a if end == "from" else c.b, name))
        there = _ends(stays, end, pole, far)
    text = set_value(text, file, f"runs.{stays.id}.{end}", there)
    a, b = _typed_m(stays), _typed_m(goes)
    if a is not None and b is not None:
        text = set_value(text, file, f"runs.{stays.id}.length", f"{a + b:.4g} m")
    text = take_entry(text, file, "runs", goes.id)
    text = _without_remarks(text, file, (name, goes.id))
    return take_entry(text, file, "parts", name)


def _single(run: Run, pole: str) -> str:
    """One conductor of a cable of several: red for plus, black for minus, where no colour is written."""
    text = run.cable.text.partition(" x ")[2] or run.cable.text
    colour = {"+": " red", "-": " black"}.get(pole, "")
    return text if run.cable.colour else text + colour


def _quoted(end: str) -> str:
    """An end as the file may hold it: poles in a map are quoted."""
    if not end.startswith("{"):
        return end
    pairs = [pair.partition(": ") for pair in end.strip("{}").split(", ")]
    return "{" + ", ".join(f'"{pole}": {terminal}' for pole, _, terminal in pairs) + "}"


def _ends(run: Run, end: str, pole: str, terminal: str) -> str:
    """The map of a run's end with one pole laid elsewhere."""
    ends = {c.pole: (c.a if end == "from" else c.b) for c in run.cores}
    return "{" + ", ".join(f'"{p}": {terminal if p == pole else x}' for p, x in ends.items()) + "}"


def _typed_m(run: Run) -> float | None:
    """The length that somebody wrote; None where the route says it, or nothing does."""
    length = run.length
    return length.value if isinstance(length, Figure) and length.origin.kind != "computed" else None


def _place(rig: Rig, terminal: str) -> str:
    """Where the owner of a terminal sits."""
    words = terminal.split(".")
    for n in range(len(words), 0, -1):
        name = ".".join(words[:n])
        if name in rig.parts:
            return rig.parts[name].place
        if name in rig.use.loads:
            return rig.use.loads[name].place
    return ""
