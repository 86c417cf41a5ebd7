"""A rig file's text -> a checked rig. Every mistake is told with its place and what to write instead."""

import hashlib
import re
from collections.abc import Callable, Mapping
from typing import Any

from ohmwright.rig import shape
from ohmwright.rig.forms import Reading, listed, mapping, quantity, refuse, scalar, short, suggestion
from ohmwright.rig.groups import group_runs
from ohmwright.rig.model import (
    Cut,
    Host,
    Job,
    Load,
    LookedAt,
    Metal,
    Never,
    Override,
    Part,
    Place,
    Rig,
    Run,
    Source,
    Use,
    Way,
)
from ohmwright.rig.parts import parse_unknown, read_parts, settings_of
from ohmwright.rig.ports import ports_of
from ohmwright.rig.runs import RunsReader, branch_runs
from ohmwright.rig.states import read_set, read_term, variables_of
from ohmwright.rig.use import answers_of, check_feeds, read_case, read_load, read_promise, read_stay
from ohmwright.shelf.record import Shelf
from ohmwright.working import Figure, FileError, Given, Position, Unknown
from ohmwright.working import tree as t

#: Words that an address may begin with beside the ids of the file.
ROOMS = (*shape.SECTIONS, "rig", "bank", "all")

_EMPTY = t.Mapping({}, Position("", 0, 0))


def read_rig(text: str, file: str, shelf: Shelf) -> Rig:
    """The rig that `text` says. `file` is the name that mistakes are told under; parts come from `shelf`."""
    tree = t.read_tree(text, file)
    if not isinstance(tree, t.Mapping):
        refuse(
            tree.at,
            "a rig file is a map of sections",
            "write ohmwright: 1 in its first line, then job:, host:, parts: and so on",
        )
    try:
        return _Reader(tree, text, file, shelf).read()
    except FileError as error:
        if error.at.file or not file:
            raise
        raise FileError(
            error.message, at=Position(file, 1, 1), remedy=error.remedy, text=error.text
        ) from None


class _Reader:
    """One pass over the sections, then the look-ups between them."""

    def __init__(self, tree: t.Mapping, text: str, file: str, shelf: Shelf) -> None:
        self.tree = tree
        self.text = text
        self.file = file
        self.shelf = shelf
        self.reading = Reading()

    def section(self, name: str) -> t.Mapping:
        """The tree of a section, empty when it is left out."""
        found = self.tree.get(name)
        if found is None or (isinstance(found, t.Scalar) and not found.text):
            return _EMPTY
        return mapping(found)

    def _check_keys(self) -> None:
        for key, entry in self.tree.entries.items():
            if key not in shape.SECTIONS:
                shape.FILE._unknown(entry.key)
        if "ohmwright" not in self.tree:
            refuse(
                self.tree.at,
                "the file does not say which shape it has",
                f"write ohmwright: {shape.VERSION} in its first line",
            )
        entry = self.tree.entries["ohmwright"]
        version = scalar(entry.value, str(shape.VERSION))
        if version.text.strip() != str(shape.VERSION):
            refuse(
                version.at,
                f"a rig file of shape '{short(version.text)}'",
                f"write ohmwright: {shape.VERSION}; a newer program may be needed",
                version.text,
            )

    def read(self) -> Rig:
        """The rig."""
        self._check_keys()
        take = self._take
        job = self._job(take("job"))
        sources = {
            k: Source(k, v["title"], v.get("dated", ""), v.get("file", ""))
            for k, v in take("sources").items()
        }
        host = self._host(take("host") if "host" in self.tree else {})
        metal = {k: self._metal(k, v) for k, v in take("metal").items()}
        parts = read_parts(self.section("parts"), self.shelf, self.reading)
        use_tree = self.section("use")
        use_got = take("use")
        loads = {
            k: read_load(k, mapping(use_tree.entries["loads"].value).entries[k], got)
            for k, got in use_got.get("loads", {}).items()
        }
        self._ids(parts, loads, host.places, metal)
        settings = settings_of(self.tree.get("settings"), parts, self.reading)
        parts = self._with_ground_relay(parts, settings)
        self._references(host, metal, parts, loads)
        ports = ports_of(parts, loads, metal.values())
        if loads:
            check_feeds(loads, mapping(use_tree.entries["loads"].value), ports, parts)
        reader = RunsReader(ports, host, parts, loads, metal, job.stage, self.reading)
        runs = reader.read(self.section("runs"))
        self._run_ids(runs, parts, loads, host.places, metal)
        runs.update(group_runs(parts, ports))
        runs.update(branch_runs(loads, use_got.get("loads", {}), ports, reader))
        variables = variables_of(parts.values(), loads.values(), runs.values())
        stays = tuple(
            read_stay(tree, got, variables, n)
            for n, (tree, got) in enumerate(
                zip(self._items(use_tree, "stays"), use_got.get("stays", ()), strict=True), 1
            )
        )
        promises = tuple(
            read_promise(tree, got, loads)
            for tree, got in zip(self._items(use_tree, "promises"), use_got.get("promises", ()), strict=True)
        )
        cases_tree = self.section("cases")
        cases = {
            k: read_case(k, cases_tree.entries[k], got, variables, loads, runs, ports)
            for k, got in take("cases").items()
        }
        cuts = {k: self._cut(k, got, variables, parts, loads) for k, got in take("cuts").items()}
        never = tuple(
            Never(
                tuple(read_term(scalar(s, "a state"), variables, loads) for s in self._terms(tree)),
                got["by"],
                tree.at,
            )
            for tree, got in zip(self._items(self.tree, "never"), self._list("never"), strict=True)
        )
        rig = Rig(
            self.file, self.text, hashlib.sha256(self.text.encode("utf-8", "surrogatepass")).hexdigest(), shape.VERSION, job, sources, host, metal,
            parts, Use(loads, stays, promises, answers_of(use_got.get("answers")), use_got.get("generator", {})), runs, settings, cases, never,
            cuts, self._looked_at(), self._overrides(), take("frozen") if "frozen" in self.tree else {},
        )  # fmt: skip
        self._subjects(rig)
        self._tags(sources)
        return rig

    def _take(self, name: str) -> Any:
        if name not in self.tree:
            return {}
        value = self.tree.entries[name].value
        if isinstance(value, t.Scalar) and not value.text:
            return {}
        return shape.SECTIONS[name].take(value, self.reading)

    def _list(self, name: str) -> list[Any]:
        return self._take(name) or []

    def _items(self, tree: t.Mapping, name: str) -> tuple[t.Tree, ...]:
        found = tree.get(name)
        return found.items if isinstance(found, t.Sequence) else ()

    def _terms(self, tree: t.Tree) -> tuple[t.Tree, ...]:
        return self._items(mapping(tree), "these")

    def _job(self, got: dict[str, Any]) -> Job:
        rules, _, edition = got.get("rules", "").partition(" ")
        rest = ("owner", "shop", "designer", "dated", "lawful-hands", "note")
        return Job(
            got.get("id", ""), got.get("title", ""), got.get("based-on", ""), got.get("revision", ""), got.get("stage", ""),
            got.get("units", "metric"), got.get("currency", ""), rules, edition.strip(), {k: got[k] for k in rest if k in got},
        )  # fmt: skip

    def _host(self, got: dict[str, Any]) -> Host:
        if not got:
            return Host("")
        tree = self.section("host")
        masses, words = self._masses(got.get("masses"))
        words.update({k: got[k] for k in ("axes", "note") if k in got})
        places = {
            k: self._place(k, v, mapping(tree.entries["places"].value).entries[k])
            for k, v in got.get("places", {}).items()
        }
        ways = {
            k: self._way(k, v, places, mapping(tree.entries["ways"].value).entries[k])
            for k, v in got.get("ways", {}).items()
        }
        return Host(got["kind"], masses, words, places, ways)

    def _masses(self, tree: t.Tree | None) -> tuple[dict[str, Given], dict[str, str]]:
        figures: dict[str, Given] = {}
        words: dict[str, str] = {}
        for key, e in mapping(tree).entries.items() if tree is not None else ():
            if key == "sold-before":
                words[key] = shape.HOST.fields["axes"].take(e.value, self.reading)
                continue
            units = shape.MASSES.get(key)
            if units is None:
                refuse(
                    e.key.at,
                    f"'{short(key)}' is no mass of a host",
                    suggestion(key, shape.MASSES, f"write one of: {listed(shape.MASSES, 20)}"),
                    key,
                )
            s = scalar(e.value, "a quantity")
            given = quantity(s, s.text, units, self.reading, least=0)
            figures[key] = _addressed(given, f"host.masses.{key}")
        return figures, words

    def _place(self, name: str, got: dict[str, Any], entry: t.Entry) -> Place:
        if "." in name:
            refuse(entry.key.at, f"'{name}' has a dot in it", "write a place's name without dots")
        figures = {
            k: _addressed(got[k], f"{name}.{k}")
            for k in ("vents", "coldest", "hottest", "kept-above", "UA", "volume", "floods-at")
            if k in got
        }
        words = {
            k: got[k] for k in ("inside", "vapour", "shade", "snow-reflection", "ashore", "note") if k in got
        }
        lengths: dict[str, Any] = {}
        for key in ("at", "size", "opening"):
            value = got.get(key)
            if isinstance(value, tuple):
                lengths[key] = value
            elif value is not None:
                figures[key] = _addressed(value, f"{name}.{key}")
        if "opening" in lengths:
            words["opening"] = " x ".join(f"{v:g}" for v in lengths["opening"]) + " m"
        planes = dict(got.get("planes", {}))
        if "plane" in got:
            planes["all"] = got["plane"]
        return Place(
            name,
            got.get("regime", ""),
            lengths.get("at"),
            lengths.get("size"),
            figures,
            words,
            planes,
            entry.key.at,
        )

    def _way(self, name: str, got: dict[str, Any], places: Mapping[str, Place], entry: t.Entry) -> Way:
        a, dash, b = name.partition(" - ")
        a, b = a.strip(), b.strip()
        if not dash or a == b:
            refuse(
                entry.key.at,
                f"'{short(name)}' is no way between two places",
                "write two places with a hyphen between spaces, for instance roof - side-bay",
                name,
            )
        for place in (a, b):
            if place not in places:
                refuse(
                    entry.key.at,
                    f"the way '{short(name)}' leads to '{short(place)}', which is no place",
                    suggestion(place, places, "write it under places: first"),
                    name,
                )
        words = {
            k: got[k]
            for k in ("underbody", "buried", "rooftop", "conduit", "engine", "vapour", "note")
            if k in got
        }
        if got.get("bulkhead"):
            words["bulkhead"] = str(got["bulkhead"])
        if isinstance(got.get("hottest"), Figure):
            words["hottest"] = got["hottest"].text
        return Way(
            name, a, b, _addressed(got["length"], f"{name}.length"), got.get("glands", 0), words, entry.key.at
        )

    def _metal(self, name: str, got: dict[str, Any]) -> Metal:
        joined = (*got.get("joined", ()), *got.get("touches", ()))
        return Metal(
            name, joined, tuple(got.get("wet", ())), {k: got[k] for k in ("metal", "note") if k in got}
        )

    def _key_of(self, *path: str) -> t.Scalar:
        tree: t.Tree = self.tree
        key: t.Scalar | None = None
        for word in path:
            entry = mapping(tree).entries[word]
            key, tree = entry.key, entry.value
        assert key is not None
        return key

    def _ids(
        self,
        parts: Mapping[str, Part],
        loads: Mapping[str, Load],
        places: Mapping[str, Place],
        metal: Mapping[str, Metal],
    ) -> None:
        """One namespace for all ids of a file."""
        rooms: tuple[tuple[str, Mapping[str, object], Callable[[str], t.Scalar]], ...] = (
            (
                "a part",
                {k: v for k, v in parts.items() if k in self.section("parts")},
                lambda i: self._key_of("parts", i),
            ),
            ("a load", loads, lambda i: self._key_of("use", "loads", i)),
            ("a place", places, lambda i: self._key_of("host", "places", i)),
            ("a metal body", metal, lambda i: self._key_of("metal", i)),
        )
        seen: dict[str, str] = {}
        for what, ids, key in rooms:
            for name in ids:
                if name in seen:
                    refuse(
                        key(name).at,
                        f"'{name}' is {seen[name]} already",
                        f"give {what} another id: one file, one name for one thing",
                        name,
                    )
                if name in ROOMS:
                    refuse(key(name).at, f"'{name}' is the name of a section", "write another id", name)
                if "." in name and what != "a part":
                    refuse(key(name).at, f"'{name}' has a dot in it", "write an id without dots", name)
                seen[name] = what
        for name in parts:
            head = name.partition(".")[0]
            if "." in name and seen.get(head) not in (None, "a part"):
                refuse(
                    key_or_first(self, name).at, f"'{head}' is {seen[head]} already", "write another id", name
                )

    def _run_ids(self, runs: Mapping[str, Run], *others: Mapping[str, object]) -> None:
        for name in runs:
            if any(name in other for other in others) or name in ROOMS:
                refuse(
                    self._key_of("runs", name).at,
                    f"'{name}' is the id of something else already",
                    "give the run another id",
                    name,
                )
            head = name.partition(".")[0]
            if "." in name and any(head in other for other in others):
                refuse(
                    self._key_of("runs", name).at,
                    f"'{name}' looks like a part of {head}",
                    "give the run an id without a dot",
                    name,
                )

    def _with_ground_relay(
        self, parts: dict[str, Part], settings: Mapping[str, Mapping[str, Given | str]]
    ) -> dict[str, Part]:
        """The setting of a neutral-earth relay decides what is inside: hand it to the kind."""
        from dataclasses import replace

        for name, mine in settings.items():
            word = mine.get("ground-relay")
            spec = parts[name].kind.words.get("ground_relay")
            if word is None or spec is None:
                continue
            said = word if isinstance(word, str) else "unknown" if isinstance(word, Unknown) else ""
            if said not in spec.allowed:
                at = (
                    mapping(mapping(self.tree.entries["settings"].value).entries[name].value)
                    .entries["ground-relay"]
                    .value
                )
                refuse(
                    at.at,
                    f"'{short(said)}' is no state of a ground relay",
                    suggestion(said, spec.allowed, f"write one of: {listed(spec.allowed)}"),
                    said,
                )
            parts[name] = replace(parts[name], words={**parts[name].words, "ground_relay": said})
        return parts

    def _references(
        self, host: Host, metal: Mapping[str, Metal], parts: Mapping[str, Part], loads: Mapping[str, Load]
    ) -> None:
        places = host.places
        for part in parts.values():
            if part.place and part.place not in places:
                at = self._value("parts", part.group or part.id, "at")
                refuse(
                    at,
                    f"there is no place '{short(part.place)}'",
                    suggestion(part.place, places, "write it under host: places:"),
                    part.place,
                )
            if (body := part.words.get("on")) and body not in metal:
                refuse(
                    self._value("parts", part.group or part.id, "on"),
                    f"there is no metal body '{short(body)}'",
                    suggestion(body, metal, "write it under metal:"),
                    body,
                )
            for key in ("counts", "watches"):
                for bank in part.words.get(key, "").split():
                    if bank not in parts and not any(p.group == bank for p in parts.values()):
                        refuse(
                            self._value("parts", part.id, key),
                            f"there is no bank '{short(bank)}'",
                            suggestion(bank, parts, "write the id of a battery or group"),
                            bank,
                        )
        for load in loads.values():
            if load.place and load.place not in places:
                refuse(
                    self._value("use", "loads", load.id, "at"),
                    f"there is no place '{short(load.place)}'",
                    suggestion(load.place, places, "write it under host: places:"),
                    load.place,
                )
        for body_ in metal.values():
            for other in (*body_.joined, *body_.wet):
                if other not in metal:
                    refuse(
                        self._value("metal", body_.id),
                        f"there is no metal body '{short(other)}'",
                        suggestion(other, metal, "write it under metal:"),
                        other,
                    )
        for place in places.values():
            self._inside(place, places)

    def _inside(self, place: Place, places: Mapping[str, Place]) -> None:
        chain = [place.id]
        while (outer := places[chain[-1]].words.get("inside")) is not None:
            if outer not in places:
                refuse(
                    self._value("host", "places", chain[-1], "inside"),
                    f"there is no place '{short(outer)}'",
                    suggestion(outer, places, "write it under places:"),
                    outer,
                )
            if outer in chain:
                refuse(
                    self._value("host", "places", chain[-1], "inside"),
                    f"{outer} lies inside itself: {' in '.join([*chain, outer])}",
                    "leave one `inside` out",
                    outer,
                )
            chain.append(outer)

    def _value(self, *path: str) -> Position:
        tree: t.Tree = self.tree
        for word in path:
            if not isinstance(tree, t.Mapping) or word not in tree:
                break
            tree = tree.entries[word].value
        return tree.at

    def _cut(
        self,
        name: str,
        got: dict[str, Any],
        variables: Mapping[str, Any],
        parts: Mapping[str, Part],
        loads: Mapping[str, Load],
    ) -> Cut:
        entry = self.section("cuts").entries[name]
        for live in got.get("stays-live", ()):
            if live not in parts and live not in loads:
                refuse(
                    self._value("cuts", name, "stays-live"),
                    f"there is no part or load '{short(live)}'",
                    suggestion(live, [*parts, *loads], "write an id of this file"),
                    live,
                )
        return Cut(name, read_set(got["set"], variables), tuple(got.get("stays-live", ())), entry.key.at)

    def _looked_at(self) -> tuple[LookedAt, ...]:
        return tuple(
            LookedAt(
                g["rule"],
                g["subject"],
                g["found"],
                g["by"],
                g["dated"].isoformat(),
                g.get("photo", ""),
                g.get("verdict", "pass"),
                tree.at,
            )
            for tree, g in zip(self._items(self.tree, "looked-at"), self._list("looked-at"), strict=True)
        )

    def _overrides(self) -> tuple[Override, ...]:
        return tuple(
            Override(
                g["rule"],
                g["subject"],
                g["why"],
                g["by"],
                g["dated"],
                g.get("accepted", ""),
                g.get("until"),
                g.get("licensed", ""),
                tree.at,
            )
            for tree, g in zip(self._items(self.tree, "overrides"), self._list("overrides"), strict=True)
        )

    def _subjects(self, rig: Rig) -> None:
        """What a looked-at or an override is about must be there, else it protects nothing."""
        ids = (
            rig.parts,
            rig.use.loads,
            rig.runs,
            rig.host.places,
            rig.metal,
            rig.host.ways,
            rig.cases,
            rig.cuts,
        )
        for entry in (*rig.looked_at, *rig.overrides):
            if not _SUBJECT.match(entry.subject):
                continue
            head = entry.subject.partition(".")[0]
            if (
                any(head in room or entry.subject in room for room in ids)
                or head in ROOMS
                or any(p.group == head for p in rig.parts.values())
            ):
                continue
            near = suggestion(
                head, [i for room in ids for i in room], "write an id of this file, or take the entry out"
            )
            refuse(
                mapping_value(self.tree, entry, "subject"),
                f"nothing here is called '{short(head)}'",
                near,
                entry.subject,
            )

    def _tags(self, sources: Mapping[str, Source]) -> None:
        for tag, at in self.reading.tags:
            if tag not in sources and tag not in ("o", "d"):
                refuse(
                    at,
                    f"the file's sources have no '{short(tag)}'",
                    suggestion(
                        tag,
                        sources,
                        f"write it under sources:, or m for measured: ({tag}) names where the figure is from",
                    ),
                    tag,
                )


_SUBJECT = re.compile(r"[^\W\d_][\w-]*(?:\.\S+)?\Z")


def key_or_first(reader: _Reader, name: str) -> t.Scalar:
    """The key of a part, or of the group that it is a member of."""
    parts = reader.section("parts")
    return parts.entries[name if name in parts else name.partition(".")[0]].key


def mapping_value(tree: t.Mapping, entry: LookedAt | Override, key: str) -> Position:
    """Where a key of a list's entry stands."""
    for section in ("looked-at", "overrides"):
        found = tree.get(section)
        for item in found.items if isinstance(found, t.Sequence) else ():
            if item.at == entry.position and isinstance(item, t.Mapping):
                return item.entries[key].value.at
    return entry.position


def _addressed(given: Given, address: str) -> Given:
    if isinstance(given, Figure):
        return given.at(address)
    return Unknown(given.asked, address) if isinstance(given, Unknown) else type(given)(address=address)


__all__ = ["parse_unknown", "read_rig"]
