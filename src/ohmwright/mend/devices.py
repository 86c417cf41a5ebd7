"""Answers by protective devices: another one in the same place, or one of its own for each battery."""

from collections.abc import Callable

from ohmwright.mend.ask import Ask, PIECE_m, dropped, part_path
from ohmwright.mend.edits import Forget, SetAt, Swap
from ohmwright.mend.shop import nearest_first, rated_A
from ohmwright.mend.types import Change, Edit, Ladder, Sort, Step
from ohmwright.rig.model import Part
from ohmwright.shelf.record import Record
from ohmwright.working import Given, known

#: A device may take the place of another whose rating is at most so far away.
ABOVE_ratio, BELOW_ratio = 1.35, 0.7
BREAKING = ("interrupt", "interrupt_2", "interrupt_3")
OVERCURRENT = ("fuse", "breaker")


def records_for(ask: Ask, part: Part, kinds: tuple[str, ...]) -> list[Record]:
    """Devices of these kinds that stand in as many conductors of the same sort of current."""
    return [
        r
        for r in ask.shop.of_kind(*kinds)
        if r.id != part.record.id
        and (r.words.get("class") == "gpv") == (part.word("class") == "gpv")
        and all(_word(r, w) == (part.word(w) or _word(part.record, w)) for w in ("poles", "current"))
    ]


def _word(record: Record, name: str) -> str:
    spec = record.kind.words.get(name)
    return record.words.get(name) or (spec.default if spec else "") or {"poles": "1", "current": "dc"}[name]


def swap(ask: Ask, part: Part, record: Record) -> Step | None:
    """A part of another record in the same place; what was set in the old one is not set in the new one."""
    where = part_path(ask.rig, part.id)
    if where is None:
        return None
    path, count = where
    edits: list[Edit] = [Swap(path, record.id, dropped(part))]
    touches: tuple[str, ...] = (part.id,)
    address = ".".join(path[1:])
    if path[2:3] == ("each",):
        edits += _post(ask.rig.parts[path[1]], record)
        touches = tuple(f"{path[1]}.{n}.{path[3]}" for n in range(1, count + 1))
        address = f"{path[1]}.*.{path[3]}"
    price = ask.shop.instead(part.record, record, count)
    sort: Sort = "device" if part.kind.name in OVERCURRENT else "part"
    told = []
    if part.kind.name == "breaker" and record.kind.name == "fuse":
        told.append(f"{part.id} was a switch too: say how that circuit is opened by hand")
    empty = [name for name in touches if ask.rig.settings.get(name)]
    if empty:
        edits.append(Forget(frozenset(empty)))
        told.append(f"settings of {', '.join(empty)} start empty: set and read back")
    return Step(
        (
            Change(
                sort,
                address,
                part.record.id,
                record.id,
                tuple(edits),
                price,
                len(edits),
                touches,
                by_hand="; ".join(told),
            ),
        )
    )


def _post(group: Part, record: Record) -> list[Edit]:
    """A block does not bolt onto the post: it takes a short lead."""
    if (
        record.words.get("class") == "terminal-post"
        or group.join is None
        or group.join.post_length is not None
    ):
        return []
    return [SetAt(f"parts.{group.id}.join.post-length", f"{PIECE_m:g} m")]


def another(ask: Ask, better: Callable[[Record, Part], bool] = lambda _r, _p: True) -> list[Ladder]:
    """Another device in the place of the finding's, of the nearest rating: its own kind before others."""
    part = ask.rig.parts.get(ask.finding.subject)
    if part is None:
        return []
    ours = known(part.figure("rated"))
    out = []
    kinds = part.kind.name
    others = tuple(k for k in OVERCURRENT if k != kinds) if kinds in OVERCURRENT else ()
    for group in ((kinds,), others):
        records = [r for r in records_for(ask, part, group) if better(r, part)]
        if ours is not None:
            near = [
                r
                for r in records
                if BELOW_ratio * ours.value <= (rated_A(r) or 0.0) <= ABOVE_ratio * ours.value
            ]
            records = nearest_first(near, ours.value)
        out.append(_ladder(ask, part, records))
    return out


def breaking_more(ask: Ask) -> list[Ladder]:
    """Devices printed to break more than the one that stands there, or at more volts, or printed at all."""

    def better(record: Record, part: Part) -> bool:
        return _best(record.figures.get, BREAKING) > _best(part.figure, BREAKING) or _best(
            record.figures.get, ("voltage",)
        ) > _best(part.figure, ("voltage",))

    return another(ask, better)


def of_higher_voltage(ask: Ask) -> list[Ladder]:
    """Devices for more volts."""
    return another(
        ask,
        lambda r, p: _best(r.figures.get, ("voltage", "voltage_per_pole")) > _best(p.figure, ("voltage",)),
    )


def bearing_more(ask: Ask) -> list[Ladder]:
    """A switch, bar or contactor that bears what the device before it lets pass: the nearest above first."""
    part = ask.rig.parts.get(ask.finding.subject)
    wanted = ask.finding.value
    if part is None or wanted is None or part.kind.name in OVERCURRENT:
        return []
    records = [r for r in records_for(ask, part, (part.kind.name,)) if (rated_A(r) or 0.0) >= wanted]
    return [_ladder(ask, part, sorted(records, key=lambda r: rated_A(r) or 0.0))]


def smaller(ask: Ask) -> list[Ladder]:
    """Smaller devices in front of a conductor: the nearest below first."""
    guarding = ask.study.guards.get(ask.finding.subject)
    if guarding is None:
        return []
    out = []
    for name in dict.fromkeys(g.device for g in guarding.guards if g.device):
        part = ask.rig.parts.get(name)
        ours = known(part.figure("rated")) if part is not None else None
        if part is None or ours is None or part.kind.name not in OVERCURRENT:
            continue
        below = [
            r for r in records_for(ask, part, (part.kind.name,)) if (rated_A(r) or ours.value) < ours.value
        ]
        same_class = [r for r in below if r.words.get("class") == part.record.words.get("class")]
        out.append(
            _ladder(ask, part, sorted(same_class or below, key=lambda r: -(rated_A(r) or 0.0)), rising=True)
        )
    return out


def _ladder(ask: Ask, part: Part, records: list[Record], *, rising: bool = False) -> Ladder:
    return Ladder(tuple(s for r in records if (s := swap(ask, part, r)) is not None), rising)


def _best(figure: Callable[[str], Given | None], names: tuple[str, ...]) -> float:
    found = [f.value for n in names if (given := figure(n)) is not None and (f := known(given)) is not None]
    return max(found, default=0.0)
