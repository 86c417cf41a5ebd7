"""The one-line sheet: the drawing, the schedules beside it, the chosen thing with its fields, and what follows."""

import secrets
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from ohmwright.checks.types import Finding
from ohmwright.kinds.settings import settings_of_kind
from ohmwright.rig.model import ABSENT, Load, Part, Rig, Run
from ohmwright.rig.ports import is_group
from ohmwright.rig.shape import VITAL
from ohmwright.services.building import free_ways, next_steps
from ohmwright.services.desk import Change, Look
from ohmwright.services.follows import Block, block
from ohmwright.services.reckon_circuit import drop_of, largest, largest_currents
from ohmwright.services.sheets import Circuits, further, further_names, open_findings
from ohmwright.services.words import tag_word
from ohmwright.web.adding import NewRun, adding_of, can_be_bank, cut_form, string_form, take_form
from ohmwright.web.bench import Bench, units_of
from ohmwright.web.render import written
from ohmwright.working import Figure, OhmwrightError, tell
from ohmwright.working.quickly import quickly_made

DRAWINGS = {
    "three-line": "Three-line",
    "ac-states": "AC states",
    "places": "Places",
    "roof-plan": "Roof plan",
    "routes": "Cable routes",
    "bonding": "Bonding",
    "earthing": "Earthing",
    "board": "Board",
}
JOINED_AS = (("chain", "chain of links"), ("busbars", "leads to two bars"), ("series", "series"))
TAKEN_OFF = (("diagonal", "at both ends, diagonal"), ("same-end", "at one end"))
LISTS = (("runs", "Runs"), ("parts", "Parts"), ("loads", "Loads"))


@quickly_made
@dataclass(frozen=True, slots=True)
class Mark:
    """A note as far as a schedule shows it. `number` is "" while the sheet is being drawn again."""

    number: str
    sheet: str
    zone: str
    word: str
    finding: Finding
    same_remedy: str = ""


@quickly_made
@dataclass(frozen=True, slots=True)
class RunRow:
    """A line of the schedule of runs; the largest current of all cases, and the drop there."""

    run: Run
    current_A: float | None
    drop_V: float | None
    case: str
    marks: tuple[Mark, ...]
    behind: tuple[str, ...] = ()
    """The devices that stand nearest before it."""


@quickly_made
@dataclass(frozen=True, slots=True)
class Row:
    """A line of the schedule of parts or loads."""

    id: str
    what: str
    place: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Field:
    """A value that can be typed. `shelf` is what holds while nothing is written; `choices` makes it a choice."""

    address: str
    label: str
    value: str
    hint: str = ""
    origin: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    missing: bool = False


@dataclass(frozen=True, slots=True)
class Chosen:
    """The thing whose row is open."""

    id: str
    title: str
    sub: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...]
    marks: tuple[Mark, ...]
    group: bool = False
    settings: bool = False
    more_said: str = "figures of the shelf: type over one here"
    holds: tuple[Finding, ...] = ()
    """What rules found to be in order: each can be asked why, down to the table it used."""


def owner_of(rig: Rig, subject: str) -> str:
    """The part, run or load that an address belongs to; "" for the host or the rig as a whole."""
    while subject:
        if subject in rig.runs and rig.runs[subject].part_of:
            return rig.runs[subject].part_of
        if subject in rig.parts:
            return rig.parts[subject].group or subject
        if subject in rig.runs or subject in rig.use.loads:
            return subject
        subject = subject.rpartition(".")[0]
    return ""


def marks_of(look: Look, drawn: Circuits | None, before: Circuits | None = None) -> tuple[Mark, ...]:
    """The notes in the order of their numbers; while the sheet is drawn again they keep the numbers of `before`."""
    if drawn is not None:
        notes = [Mark(n.number, n.sheet, n.zone, n.word, n.finding) for n in drawn.notes]
    else:
        old = {(n.finding.rule, n.finding.subject): n for n in before.notes} if before else {}
        notes = []
        for f in open_findings(look):
            n = old.get((f.rule, f.subject))
            notes.append(
                Mark(
                    n.number if n else "",
                    n.sheet if n else "",
                    n.zone if n else "",
                    tag_word(f.verdict, f.severity),
                    f,
                )
            )
    return tuple(_as_before(notes))


def _as_before(notes: list[Mark]) -> Iterator[Mark]:
    """A remedy that stands at an earlier note already is named by that note's number."""
    at: dict[str, str] = {}
    for n in notes:
        seen = at.get(n.finding.remedy, "")
        if n.finding.remedy and not seen and n.number:
            at[n.finding.remedy] = n.number
        yield Mark(n.number, n.sheet, n.zone, n.word, n.finding, seen)


def _by_owner(rig: Rig, marks: tuple[Mark, ...]) -> dict[str, tuple[Mark, ...]]:
    out: dict[str, tuple[Mark, ...]] = {}
    for m in marks:
        owner = owner_of(rig, m.finding.subject)
        out[owner] = (*out.get(owner, ()), m)
    return out


def run_rows(look: Look, marks: dict[str, tuple[Mark, ...]]) -> Iterator[RunRow]:
    """The runs of the file; their figures are those of `flows`, the case with the largest current."""
    currents = largest_currents(look.study)
    for run in look.rig.runs.values():
        if run.part_of:
            continue
        best = largest(run, currents)
        yield RunRow(
            run,
            best[2].current_A if best else None,
            drop_of(look.study, best) if best else None,
            best[1] if best else "",
            marks.get(run.id, ()),
            tuple(_devices_before(look, run)),
        )


def _devices_before(look: Look, run: Run) -> list[str]:
    """The devices nearest before a run, whichever source feeds it."""
    guards = look.study.guards
    behind = [guards[core.id].guards for core in run.cores if core.id in guards]
    return sorted({g.device for some in behind for g in some if g.device})


def _guards(look: Look, run: Run) -> dict[str, str]:
    """The devices nearest before a run with their rating, whichever source feeds it."""
    out: dict[str, float | None] = {}
    for core in run.cores:
        guarding = look.study.guards.get(core.id)
        for g in guarding.guards if guarding is not None else ():
            if g.device:
                out[g.device] = g.rated_A
    return {d: tell(amps, "A", 3) if amps else "of no known rating" for d, amps in sorted(out.items())}


def part_rows(rig: Rig, marks: dict[str, tuple[Mark, ...]]) -> Iterator[Row]:
    """The parts of the file; members of a group stand under the group."""
    for part in rig.parts.values():
        if not part.group:
            many = (
                f"{part.count} x "
                if part.count > 1
                else f"{part.per_string}s{part.strings}p of "
                if part.strings
                else ""
            )
            yield Row(
                part.id, many + (part.record.title or part.record.id), part.place, marks.get(part.id, ())
            )


def load_rows(rig: Rig, marks: dict[str, tuple[Mark, ...]]) -> Iterator[Row]:
    """The loads."""
    for load in rig.use.loads.values():
        yield Row(load.id, _takes(load), ", ".join(load.fed.values()) or load.wired, marks.get(load.id, ()))


def _takes(load: Load) -> str:
    told = [
        ("" if not label else f"{label} ") + written(g)
        for by in (load.power, load.energy)
        for label, g in by.items()
    ]
    return " / ".join(told)


def chosen_of(look: Look, ref: str, marks: dict[str, tuple[Mark, ...]]) -> Chosen | None:
    """The thing that `ref` belongs to, with its fields."""
    rig = look.rig
    owner = owner_of(rig, ref)
    missing = {m for f in look.checked.findings if f.verdict == "cannot-tell" for m in f.missing}
    about = marks.get(owner, ())
    if owner in rig.runs:
        chosen = _chosen_run(look, rig.runs[owner], about, missing)
    elif owner in rig.parts:
        chosen = _chosen_part(look, rig.parts[owner], about, missing)
    elif owner in rig.use.loads:
        chosen = _chosen_load(rig, rig.use.loads[owner], about, missing)
    else:
        return None
    holds = (f for f in look.checked.findings if f.verdict == "pass" and owner_of(rig, f.subject) == owner)
    return replace(chosen, holds=tuple(holds))


def _chosen_run(look: Look, run: Run, marks: tuple[Mark, ...], missing: set[str]) -> Chosen:
    guards = [f"{device} {rated}" for device, rated in _guards(look, run).items()]
    typed = isinstance(run.length, Figure) and run.length.origin.kind != "computed"
    by_way = f"{written(run.length)} by its way" if isinstance(run.length, Figure) and not typed else ""
    fields = (
        Field(
            f"{run.id}.cable",
            "cable",
            run.cable.text,
            "size, insulation class, colour: 2 x 6 AWG 105C red",
            missing=f"{run.id}.cable" in missing,
        ),
        Field(
            f"{run.id}.length",
            "length",
            "" if by_way else written(run.length),
            by_way or "of the cable, never there and back: 0.95 m (m 2026-05-02)",
            missing=f"{run.id}.length" in missing,
        ),
    )
    return Chosen(
        run.id,
        f"{run.start} to {run.stop}",
        "run"
        + (f", {run.role}" if run.role else "")
        + (f", through {', '.join(run.route)}" if run.route else "")
        + (f", behind {', '.join(guards)}" if guards else ""),
        fields,
        (),
        marks,
    )


def _chosen_part(look: Look, part: Part, marks: tuple[Mark, ...], missing: set[str]) -> Chosen:
    rig = look.rig
    same: list[tuple[str, str]] = []
    for record_id in look.opened.shelf:
        record = look.opened.shelf.find(record_id)
        if record is not None and record.kind.name == part.kind.name:
            same.append((record.id, record.title or record.id))
    if part.record.id not in dict(same):
        same.insert(0, (part.record.id, part.record.title or part.record.id))
    swap = Field(f"{part.id}.is", "part", part.record.id, "", choices=tuple(same))
    places = tuple((p, p) for p in rig.host.places)
    where = (
        (Field(f"{part.id}.at", "place", part.place, "", choices=(("", "not told"), *places)),)
        if places and not is_group(part)
        else ()
    )
    first: list[Field] = []
    more: list[Field] = []
    for name in dict.fromkeys((*part.kind.figures, *part.record.figures, *part.figures)):
        mine, plate = part.figures.get(name), part.record.figures.get(name)
        address = f"{part.id}.{name}"
        spec = part.kind.figures.get(name)
        label = name.replace("_", " ").replace("-", " ")
        hint = (
            spec.meaning
            + (f", in {spec.unit}" if spec.unit != "1" else "")
            + (f" @ {spec.condition}" if spec.condition else "")
            if spec
            else ""
        )
        lacks = address in missing or any(
            m.startswith(f"{part.id}.") and m.endswith(f".{name}") for m in missing
        )
        origin = (
            f"shelf: {written(plate)}"
            if plate is not None and mine is None
            else f"file, over {written(plate)} of the shelf"
            if plate is not None
            else ""
        )
        field = Field(address, label, written(mine) if mine is not None else "", hint, origin, missing=lacks)
        (first if mine is not None or lacks else more).append(field)
    first += _ways(part)
    joins = tuple(_join_fields(part))
    return Chosen(
        part.id,
        part.record.title or part.record.id,
        f"{part.kind.title}{f', {part.count} of them' if part.count > 1 else ''}",
        (swap, *where, *joins, *first),
        tuple(more),
        marks,
        is_group(part),
        bool(settings_of_kind(part.kind.name)),
    )


def _ways(part: Part) -> list[Field]:
    """The rating of every way of a panel."""
    count = part.word("way_count") or "6"
    if not part.kind.name.startswith("panel-") or not count.isdecimal():
        return []
    told = {str(n): given for n, given in part.ways.items()}
    return [
        Field(
            f"parts.{part.id}.ways.{n}", f"way {n}", written(told[str(n)]) if str(n) in told else "", "10 A"
        )
        for n in range(1, int(count) + 1)
    ]


def _join_fields(part: Part) -> Iterator[Field]:
    """How the members of a group hang together."""
    join = part.join
    if join is None:
        return
    at = f"parts.{part.id}"
    yield Field(f"{at}.count", "batteries", str(part.count))
    yield Field(f"{at}.join.as", "joined as", join.how, choices=JOINED_AS)
    if join.how == "busbars":
        yield Field(f"{at}.join.lead", "cable of each lead", join.lead.text if join.lead else "")
        yield Field(f"{at}.join.lead-length", "length of each lead", written(join.lead_length))
        return
    yield Field(f"{at}.join.link", "cable of each link", join.link.text if join.link else "")
    yield Field(f"{at}.join.link-length", "length of each link", written(join.link_length))
    if join.how == "chain":
        yield Field(f"{at}.join.takeoff", "taken off", join.takeoff or "diagonal", choices=TAKEN_OFF)


def _chosen_load(rig: Rig, load: Load, marks: tuple[Mark, ...], missing: set[str]) -> Chosen:
    fields = []
    at = f"use.loads.{load.id}"
    if not load.wired and len(load.fed) < 2:
        fed = next(iter(load.fed.values()), "")
        branch = rig.runs.get(f"{load.id}.branch")
        ways = free_ways(rig, fed)
        fields.append(Field(f"{at}.fed", "hangs on", fed, choices=(("", "nothing yet"), *ways)))
        fields.append(
            Field(
                f"{at}.cable",
                "branch cable",
                branch.cable.text if branch is not None else "",
                "2 x 2.5 mm2 105C",
                missing=f"{load.id}.cable" in missing,
            )
        )
    for name, by in (
        ("power", load.power),
        ("energy", load.energy),
        ("hours", load.hours),
        ("duty", load.duty),
    ):
        value = " / ".join(written(g) + (f" {label}" if label else "") for label, g in by.items())
        fields.append(
            Field(f"{load.id}.{name}", name, value, "one figure, or by season: 0.49 summer / 0.35 shoulder")
        )
    for name, given in (("surge", load.surge), ("standby", load.standby), ("length", load.length)):
        fields.append(
            Field(f"{load.id}.{name}", name, written(given), missing=f"{load.id}.{name}" in missing)
        )
    if rig.host.places:
        places = tuple((p, p) for p in rig.host.places)
        fields.append(Field(f"{at}.at", "place", load.place, choices=(("", "not told"), *places)))
    return Chosen(
        load.id,
        load.id,
        "load, fed by " + (", ".join(load.fed.values()) or load.wired or "nothing yet"),
        tuple(fields),
        tuple(_more_of_load(rig, load)),
        marks,
        more_said="more to be told: heat of a heater, power factor, volts",
    )


def _more_of_load(rig: Rig, load: Load) -> Iterator[Field]:
    """What few loads need: a heater's heat, a motor's power factor."""
    at = f"use.loads.{load.id}"
    for name, hint in (
        ("heat", "of a heater: what it gives while it runs, 6 kW"),
        ("burns", "fuel while it runs: 1.1 L/h"),
        ("power-factor", "of an AC load"),
        ("start-power-factor", "of an AC motor at standstill"),
        ("volts", "what it is made for"),
        ("current", "while it runs"),
    ):
        yield Field(f"{at}.{name}", name.replace("-", " "), written(load.figures.get(name, ABSENT)), hint)
    if rig.host.places:
        places = tuple((p, p) for p in rig.host.places)
        warms = load.words.get("warms", "")
        hint = "of a heater: with that place's UA its hours follow the weather"
        yield Field(f"{at}.warms", "warms", warms, hint, choices=(("", "no place"), *places))
    vital = load.words.get("vital", "")
    yield Field(f"{at}.vital", "must stay fed", vital, choices=(("", "no"), *((v, v) for v in VITAL)))
    yield Field(f"{at}.note", "a remark", load.words.get("note", ""))


def parts_of_sheet(
    look: Look, request: Request, drawn: Circuits | None, before: Circuits | None = None
) -> dict[str, Any]:
    """What the one-line sheet and its pieces are made from."""
    marks = marks_of(look, drawn, before)
    owned = _by_owner(look.rig, marks)
    ref = request.query_params.get("choose", "")
    asked = request.query_params.get("list", "")
    owner = owner_of(look.rig, ref)
    by_choice = (
        "runs"
        if owner in look.rig.runs
        else "loads"
        if owner in look.rig.use.loads
        else "parts"
        if owner in look.rig.parts
        else "runs"
    )
    which = asked if asked in dict(LISTS) else by_choice
    values = dict(request.query_params)
    adding = adding_of(look, values)
    if adding is not None and not asked:
        which = "runs" if isinstance(adding, NewRun) else "parts"
    return {
        "adding": "run" if isinstance(adding, NewRun) else "part" if adding is not None else "",
        "new": adding,
        "cut_of": lambda: cut_form(look, owner) if adding is None else None,
        "strings_of": lambda: string_form(look, owner) if adding is None else None,
        "take_of": lambda: take_form(look.rig, owner) if adding is None and not look.letter else None,
        "can_be_bank": can_be_bank(look.rig, owner) and not look.letter,
        "next_of": lambda: next_steps(look) if not look.letter else (),
        "marks": marks,
        "which": which,
        "lists": LISTS,
        "rows": tuple(
            run_rows(look, owned)
            if which == "runs"
            else part_rows(look.rig, owned)
            if which == "parts"
            else load_rows(look.rig, owned)
        ),
        "rows_of": secrets.token_hex(8),
        "chosen": chosen_of(look, ref, owned) if ref else None,
        "ref": ref,
        "owner": owner,
        "scale": "read" if request.query_params.get("scale") == "read" else "whole",
    }


def follows_of(bench: Bench, look: Look) -> tuple[Change | None, Block | None]:
    """The last change of the working file and what follows from it."""
    change = bench.desk.last_change(look.job) if not look.letter else None
    return change, block(change.before, change.after) if change else None


def margin_of(bench: Bench, look: Look) -> dict[str, Any]:
    """What follows, for the margin of a sheet that is edited: undo, the last change, its year in a second beat."""
    change, follows = follows_of(bench, look)
    return {"change": change, "follows": follows, "ref": "", "which": "", "beat": change is not None}


def one_line(
    bench: Bench, request: Request, status: int = 200, error: OhmwrightError | None = None
) -> Response:
    """The sheet. `?put=1` marks that it comes right after a change: the energy year then follows in a second beat."""
    look = bench.desk.look(request.path_params["job"])
    drawn = bench.circuits(look)
    change, follows = follows_of(bench, look)
    beat = change is not None and "put" in request.query_params
    pieces = parts_of_sheet(look, request, drawn)
    names = further_names(look)
    asked = request.query_params.get("sheet", "")
    around = {
        "drawn": drawn,
        "change": change,
        "follows": follows,
        "beat": beat,
        "error": error,
        "drawings": [(n, DRAWINGS[n]) for n in names],
        "drawing": asked if asked in names else "",
        "further": further(look, asked, us=units_of(request, look) == "us") if asked in names else (),
    }
    return bench.sheet(request, look, "one-line", status, **pieces, **around)


def again(bench: Bench, request: Request, values: dict[str, str], error: OhmwrightError) -> Response:
    """The sheet with a form as it was filled in, and why it was not put."""
    return one_line(bench, with_query(request, values), 422, error)


def with_query(request: Request, values: dict[str, str]) -> Request:
    """The request as if it had asked for that."""
    return Request({**request.scope, "query_string": urlencode(values).encode()})


def chosen(bench: Bench, request: Request) -> Response:
    """The schedule with another row open."""
    look = bench.desk.look(request.path_params["job"])
    pieces = parts_of_sheet(look, request, bench.circuits(look))
    return HTMLResponse(
        bench.text(request, "pieces/schedule.html", **bench.around(look, "one-line"), **pieces)
    )
