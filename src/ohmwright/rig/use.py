"""How the rig is lived with: loads, stays, promises, answers; and the operating cases of the file."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from ohmwright.rig.graph import StateVariable
from ohmwright.rig.model import CaseSpec, Load, Part, Promise, Run, Stay
from ohmwright.rig.parts import parse_unknown
from ohmwright.rig.ports import Ports
from ohmwright.rig.states import read_set, takes
from ohmwright.rig.surface import read_horizon, read_trees
from ohmwright.rig.telling import addressed, mapping, not_above, pick, refuse, short, suggestion
from ohmwright.working import Absent, Given, QuantityError, Unknown, known, parse
from ohmwright.working import tree as t

_SPAN = re.compile(r"(\d{2})-(\d{2})\s*\.\.\s*(\d{2})-(\d{2})\Z")
_COORDINATES = re.compile(
    r"(\d+(?:\.\d+)?)\s*°?\s*([NS])[\s,]+(\d+(?:\.\d+)?)\s*°?\s*([EW])(?:[\s,]+(-?\d+(?:\.\d+)?)\s*m)?(?:\s*\([^()]*\))?\Z"
)
#: No mountain is higher.
HIGHEST_m = 9000
_BANK = re.compile(r"(?P<soc>\d+(?:\.\d+)?)\s*%(?:\s*at\s+(?P<heat>.+))?\Z")
_WORDS = ("said", "found", "note", "vital", "double-insulated")


def read_load(name: str, entry: t.Entry, got: dict[str, Any]) -> Load:
    """A load of the file."""
    feeds = dict(got.get("feeds", {}))
    if "fed" in got:
        if feeds:
            refuse(entry.key.at, f"{name} has both fed and feeds", "write one of them")
        feeds = {"": got["fed"]}
    for key in feeds:
        if key not in ("", "dc", "ac"):
            refuse(entry.key.at, f"{name} is fed by '{short(key)}'", "write feeds: {dc: PD.1, ac: PA.2}")
    if feeds and "wired" in got:
        refuse(entry.key.at, f"{name} is both fed from a panel and wired on its own", "write fed or wired")
    figures: dict[str, Given] = {
        k: got[k]
        for k in ("power-factor", "start-power-factor", "volts", "current", "heat", "burns")
        if k in got
    }
    load = Load(
        name, feeds, got.get("wired", ""), got.get("power", {}), got.get("energy", {}), got.get("hours", {}), got.get("duty", {}),
        _at(got.get("surge"), f"{name}.surge"), _at(got.get("standby"), f"{name}.standby"), _at(got.get("length"), f"{name}.length"),
        got.get("priority", ""), _split(got.get("only", ())), got.get("takes", ""), pick(got, *_WORDS, "warms"),
        entry.key.at, got.get("at", ""), figures,
    )  # fmt: skip
    if len(feeds) > 1:
        choice = takes(load)
        if choice is None or set(choice) != set(feeds):
            at = mapping(entry.value).entries["takes"].value.at if load.takes else entry.key.at
            refuse(at, f"{name} does not say which feed it takes", "write takes: ac when live else dc")
    return load


def _split(only: list[str] | tuple[str, ...]) -> tuple[str, ...]:
    return tuple(w.strip() for text in only for w in re.split(r"[,/]", text) if w.strip())


def _at(given: Given | None, address: str) -> Given:
    return Absent(address=address) if given is None else addressed(given, address)


def check_feeds(loads: Mapping[str, Load], trees: t.Mapping, ports: Ports, parts: Mapping[str, Part]) -> None:
    """Every way that feeds a load is there."""
    for load in loads.values():
        for feed, way in load.fed.items():
            outlet = ports.outlets.get(way)
            if outlet is not None and len(outlet.poles) > 1 and outlet.owner not in loads:
                continue
            tree = mapping(trees.entries[load.id].value)
            s = (
                tree.entries["fed"].value
                if not feed
                else mapping(tree.entries["feeds"].value).entries[feed].value
            )
            part = way.partition(".")[0]
            ways = [a for a, o in ports.outlets.items() if o.role == "way"]
            if part in parts and outlet is None:
                own = [a for a in ways if a.startswith(part + ".")]
                refuse(
                    s.at,
                    f"{part} has no way '{short(way)}'",
                    suggestion(
                        way,
                        own,
                        f"it has {', '.join(own[:6])}" if own else f"{part} has no ways: write a panel's",
                    ),
                    way,
                )
            if outlet is not None:
                refuse(
                    s.at,
                    f"{way} cannot feed a load: it has one terminal",
                    "write a panel's way, or wired: dc with runs of its own",
                    way,
                )
            refuse(
                s.at,
                f"there is no part '{short(part)}' that could feed {load.id}",
                suggestion(way, ways, "write a panel's way, for instance PD.1"),
                way,
            )


def read_stay(tree: t.Tree, got: dict[str, Any], variables: Mapping[str, StateVariable], number: int) -> Stay:
    """A stay of the file. `number` counts from 1."""
    entries = mapping(tree).entries
    m = _SPAN.match(got["span"])
    try:
        if m is None:
            raise ValueError
        first, last = (int(m[1]), int(m[2])), (int(m[3]), int(m[4]))
        date(2000, *first)
        date(2000, *last)
    except ValueError:
        refuse(
            entries["span"].value.at,
            f"'{short(got['span'])}' is no span of days",
            "write month-day..month-day, for instance 04-20..10-20",
            got["span"],
        )
    where: tuple[float | None, float | None, float | None] = (None, None, None)
    if "at-coordinates" in got:
        where = _coordinates(entries["at-coordinates"].value, got["at-coordinates"])
    if ("from" in got) != ("to" in got):
        refuse(tree.at, "a passage has a start and an end", "write both from: and to:")
    figures: dict[str, Given] = {
        k: _at(got[k], f"use.stays.{number}.{k}")
        for k in ("driving", "idling", "under-way", "speed", "wind")
        if k in got
    }
    for key in ("away", "people"):
        if key in got:
            figures[key] = parse(str(got[key]), "1")
    not_above(got, entries)
    place = got.get("place", "")
    if place.startswith("unknown"):
        value = entries["place"].value
        assert isinstance(value, t.Scalar)
        given = parse_unknown(value)
        if given is not None:
            figures["place"], place = Unknown(given.asked, f"use.stays.{number}.place"), ""
    return Stay(
        first, last, place, got.get("from", ""), got.get("to", ""), *where, got.get("mode", ""), got.get("nights"), got.get("shore", ""),
        got.get("supply", ""), _at(got.get("coldest"), f"use.stays.{number}.coldest"), _at(got.get("hottest"), f"use.stays.{number}.hottest"),
        read_set(got["set"], variables) if "set" in got else {}, figures,
        pick(got, "generator", "season", "shade", "note"), tree.at,
        read_horizon(got.get("horizon", {}), f"use.stays.{number}"), read_trees(got.get("trees", {}), f"use.stays.{number}"),
        _at(got.get("under-trees"), f"use.stays.{number}.under-trees"), _at(got.get("heading"), f"use.stays.{number}.heading"),
    )  # fmt: skip


def _coordinates(tree: t.Tree, text: str) -> tuple[float, float, float | None]:
    m = _COORDINATES.match(text)
    if m is None or float(m[1]) > 90 or float(m[3]) > 180:
        refuse(
            tree.at,
            f"'{short(text)}' is no place on earth",
            "write latitude, longitude and height, for instance 61.9 N 9.0 E 840 m",
            text,
        )
    if m[5] is not None and not -500 <= float(m[5]) <= HIGHEST_m:
        refuse(tree.at, f"nothing stands {short(m[5])} m above the sea", f"write a height of {HIGHEST_m} m at the most, for instance 840 m", text)  # fmt: skip
    return (
        float(m[1]) * (1 if m[2] == "N" else -1),
        float(m[3]) * (1 if m[4] == "E" else -1),
        float(m[5]) if m[5] is not None else None,
    )


def read_promise(tree: t.Tree, got: dict[str, Any], loads: Mapping[str, Load]) -> Promise:
    """A promise of the file."""
    words: dict[str, str] = {}
    figures: dict[str, Given] = {}
    for key, value in got.items():
        if key in ("together", "loads"):
            for name in value:
                if name not in loads:
                    refuse(
                        mapping(tree).entries[key].value.at,
                        f"there is no load '{short(name)}'",
                        suggestion(name, loads, "write a load's id"),
                        name,
                    )
            words[key] = " ".join(value)
        elif isinstance(value, str):
            words[key] = value
        else:
            figures[key] = value
    return Promise(words.pop("name"), words, figures, tree.at)


def answers_of(tree: object) -> dict[str, str]:
    """Answers of the interview as text; a map {said, by, dated} in one line."""
    if not isinstance(tree, dict):
        return {}
    out: dict[str, str] = {}
    for key, value in tree.items():
        if isinstance(value, dict):
            said = str(value.get("said", ""))
            rest = ", ".join(str(v) for k, v in value.items() if k != "said")
            out[str(key)] = f"{said} ({rest})" if rest else said
        else:
            out[str(key)] = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
    return out


def read_case(
    name: str,
    entry: t.Entry,
    got: dict[str, Any],
    variables: Mapping[str, StateVariable],
    loads: Mapping[str, Load],
    runs: Mapping[str, Run],
    ports: Ports,
) -> CaseSpec:
    """An operating case of the file."""
    entries = mapping(entry.value).entries
    taken: Mapping[str, Given] = got.get("loads", {})
    for load in taken:
        if load not in loads:
            where = mapping(entries["loads"].value).entries[load].key
            refuse(
                where.at,
                f"there is no load '{short(load)}'",
                suggestion(load, loads, "write a load's id"),
                load,
            )
    soc_ratio, bank_degC = _bank(entries["bank"].value, got["bank"]) if "bank" in got else (None, None)
    states = read_set(got["set"], variables) if "set" in got else {}
    words = pick(got, "title", "note")
    for key, value in got.items():
        if isinstance(value, t.Scalar | t.Mapping | t.Sequence) and key != "set":
            _inlet(entries[key], variables, runs, ports, states, words)
    figures: dict[str, Given] = {k: _at(got[k], f"cases.{name}.{k}") for k in ("sun", "lasts") if k in got}
    return CaseSpec(
        name,
        {k: _at(v, f"cases.{name}.loads.{k}") for k, v in taken.items()},
        soc_ratio,
        bank_degC,
        states,
        words,
        entry.key.at,
        figures,
    )


def _bank(tree: t.Tree, text: str) -> tuple[float | None, float | None]:
    if text.startswith("unknown"):
        return None, None
    m = _BANK.match(text)
    try:
        heat = known(parse(m["heat"], "degC")) if m and m["heat"] else None
    except QuantityError as error:
        refuse(tree.at, error.message, error.remedy, text)
    if m is None or float(m["soc"]) > 100:
        refuse(
            tree.at,
            f"'{short(text)}' says nothing of a bank",
            "write for instance 20 % at 5 degC, or unknown",
            text,
        )
    return float(m["soc"]) / 100, heat.value if heat else None


def _inlet(
    entry: t.Entry,
    variables: Mapping[str, StateVariable],
    runs: Mapping[str, Run],
    ports: Ports,
    states: dict[str, str],
    words: dict[str, str],
) -> None:
    """`J1: unplugged`: the cord at that inlet is out; every other state stands under set."""
    key = entry.key.text
    outlet = ports.outlets.get(key)
    text = entry.value.text.strip() if isinstance(entry.value, t.Scalar) else ""
    if outlet is not None and outlet.plug == "pins" and text in ("unplugged", "plugged"):
        ends = [
            f"{r.id}.{e}"
            for r in runs.values()
            for e, at in (("from", r.cores[0].a), ("to", r.cores[0].b))
            if e in r.plugs and at in outlet.terminals
        ]
        for end in ends:
            states[end] = "out" if text == "unplugged" else "in"
        if not ends:
            words[key] = text
        return
    if key in variables:
        refuse(
            entry.key.at,
            f"'{key}' is no key of a case",
            f"write set: {{{key}: {variables[key].states[0]}}}; it is one of {', '.join(variables[key].states)}",
            key,
        )
    from ohmwright.rig import shape

    refuse(
        entry.key.at,
        f"'{short(key)}' is no key of a case",
        shape.CASE.moved.get(key) or suggestion(key, shape.CASE.fields, "write loads, bank, set"),
        key,
    )
