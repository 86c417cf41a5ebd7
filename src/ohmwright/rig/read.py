"""A rig file's text -> a checked rig. Every mistake is told with its place and what to write instead."""

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from ohmwright.rig import shape
from ohmwright.rig.groups import group_runs
from ohmwright.rig.host import read_host, read_job, read_metal
from ohmwright.rig.lookups import Lookups
from ohmwright.rig.model import Cut, Load, LookedAt, Never, Override, Part, Rig, Source, Use
from ohmwright.rig.parts import read_parts
from ohmwright.rig.ports import Ports, ports_of
from ohmwright.rig.quantities import Reading
from ohmwright.rig.runs import RunsReader, branch_runs
from ohmwright.rig.settings import settings_of
from ohmwright.rig.splice import tree_of
from ohmwright.rig.states import read_set, read_term, variables_of
from ohmwright.rig.telling import listed, mapping, refuse, scalar, short, suggestion
from ohmwright.rig.use import answers_of, check_feeds, read_case, read_load, read_promise, read_stay
from ohmwright.shelf.record import Shelf
from ohmwright.working import FileError, Given, Position, Unknown
from ohmwright.working import tree as t

_EMPTY = t.Mapping({}, Position("", 0, 0))


def read_rig(text: str, file: str, shelf: Shelf) -> Rig:
    """The rig that `text` says. `file` is the name that mistakes are told under; parts come from `shelf`."""
    tree = tree_of(text, file)
    if not isinstance(tree, t.Mapping):
        write = "write ohmwright: 1 in its first line, then job:, host:, parts: and so on"
        refuse(tree.at, "a rig file is a map of sections", write)
    try:
        return _Reader(tree, text, file, shelf).read()
    except FileError as error:
        if error.at.file or not file:
            raise
        raise FileError(
            error.message, at=Position(file, 1, 1), remedy=error.remedy, text=error.text
        ) from None


class _Reader:
    """One pass over the sections, with the look-ups between them."""

    def __init__(self, tree: t.Mapping, text: str, file: str, shelf: Shelf) -> None:
        self.tree = tree
        self.text = text
        self.file = file
        self.shelf = shelf
        self.reading = Reading()
        self.lookups = Lookups(tree)

    def read(self) -> Rig:
        """The rig."""
        self._version()
        take = self._take
        job = read_job(take("job"))
        sources = {
            k: Source(k, v["title"], v.get("dated", ""), v.get("file", ""))
            for k, v in take("sources").items()
        }
        host = read_host(take("host"), self._section("host"), self.reading)
        metal = {k: read_metal(k, v) for k, v in take("metal").items()}
        parts = read_parts(self._section("parts"), self.shelf, self.reading)
        use = take("use")
        loads = self._loads(use)
        self.lookups.one_name(parts, loads, host.places, metal)
        settings = settings_of(self.tree.get("settings"), parts, self.reading)
        self._ground_relays(parts, settings)
        self.lookups.references(host, metal, parts, loads)
        ports = ports_of(parts, loads, metal.values())
        if loads:
            check_feeds(loads, self._part_of_use("loads"), ports, parts)
        reader = RunsReader(ports, host, parts, loads, metal, job.stage, self.reading)
        runs = reader.read(self._section("runs"))
        self.lookups.run_names(runs, parts, loads, host.places, metal)
        runs.update(group_runs(parts, ports))
        runs.update(branch_runs(loads, use.get("loads", {}), ports, reader))
        rig = Rig(
            self.file,
            self.text,
            hashlib.sha256(self.text.encode("utf-8", "surrogatepass")).hexdigest(),
            shape.VERSION,
            job,
            sources,
            host,
            metal,
            parts,
            Use(loads),
            runs,
            settings,
        )
        rig = self._states(rig, use, ports)
        self.lookups.subjects(rig)
        self.lookups.tags(self.reading, sources)
        return rig

    def _version(self) -> None:
        for key, one in self.tree.entries.items():
            if key not in shape.SECTIONS:
                shape.FILE.no_such_key(one.key)
        entry = self.tree.entries.get("ohmwright")
        write = f"write ohmwright: {shape.VERSION} in its first line"
        if entry is None:
            refuse(self.tree.at, "the file does not say which shape it has", write)
        version = scalar(entry.value, str(shape.VERSION))
        if version.text.strip() != str(shape.VERSION):
            refuse(version.at, f"a rig file of shape '{short(version.text)}'", write, version.text)

    def _section(self, name: str) -> t.Mapping:
        found = self.tree.get(name)
        return _EMPTY if found is None or _nothing(found) else mapping(found)

    def _part_of_use(self, name: str) -> t.Mapping:
        found = self._section("use").get(name)
        return _EMPTY if found is None else mapping(found)

    def _take(self, name: str) -> Any:
        found = self.tree.get(name)
        return {} if found is None or _nothing(found) else shape.SECTIONS[name].take(found, self.reading)

    def _pairs(self, tree: t.Mapping, name: str, got: Any) -> list[tuple[t.Tree, Any]]:
        """The items of a list beside what was read of them."""
        found = tree.get(name)
        return list(zip(found.items, got, strict=True)) if isinstance(found, t.Sequence) else []

    def _loads(self, use: Mapping[str, Any]) -> dict[str, Load]:
        tree = self._part_of_use("loads")
        return {k: read_load(k, tree.entries[k], got) for k, got in use.get("loads", {}).items()}

    def _states(self, rig: Rig, use: Mapping[str, Any], ports: Ports) -> Rig:
        """Everything that speaks of states: stays, cases, cuts, nevers; and what is said of the rig."""
        loads, runs = rig.use.loads, rig.runs
        variables = variables_of(rig.parts.values(), loads.values(), runs.values(), ports.insides)
        tree = self._section("use")
        stays = [
            read_stay(item, got, variables, n)
            for n, (item, got) in enumerate(self._pairs(tree, "stays", use.get("stays", ())), 1)
        ]
        promises = [
            read_promise(item, got, loads)
            for item, got in self._pairs(tree, "promises", use.get("promises", ()))
        ]
        section = self._section("cases")
        cases = {
            k: read_case(k, section.entries[k], got, variables, loads, runs, ports)
            for k, got in self._take("cases").items()
        }
        never = [
            Never(tuple(read_term(s, variables, loads) for s in _terms(item)), got["by"], item.at)
            for item, got in self._pairs(self.tree, "never", self._take("never"))
        ]
        cuts = {k: self._cut(k, got, variables, rig.parts, loads) for k, got in self._take("cuts").items()}
        lived = Use(
            loads, tuple(stays), tuple(promises), answers_of(use.get("answers")), use.get("generator", {})
        )
        return replace(
            rig,
            use=lived,
            cases=cases,
            never=tuple(never),
            cuts=cuts,
            looked_at=self._looked_at(),
            overrides=self._overrides(),
            frozen=self._take("frozen"),
        )

    def _ground_relays(
        self, parts: dict[str, Part], settings: Mapping[str, Mapping[str, Given | str]]
    ) -> None:
        """The setting of a neutral-earth relay decides what is inside: hand it to the kind."""
        for name, mine in settings.items():
            word = mine.get("ground-relay")
            spec = parts[name].kind.words.get("ground_relay")
            if word is None or spec is None:
                continue
            said = word if isinstance(word, str) else "unknown" if isinstance(word, Unknown) else ""
            if said not in spec.allowed:
                at = self.lookups.place_of("settings", name, "ground-relay")
                write = suggestion(said, spec.allowed, f"write one of: {listed(spec.allowed)}")
                refuse(at, f"'{short(said)}' is no state of a ground relay", write, said)
            parts[name] = replace(parts[name], words={**parts[name].words, "ground_relay": said})

    def _cut(
        self,
        name: str,
        got: dict[str, Any],
        variables: Mapping[str, Any],
        parts: Mapping[str, Part],
        loads: Mapping[str, Load],
    ) -> Cut:
        for live in got.get("stays-live", ()):
            if live not in parts and live not in loads:
                write = suggestion(live, [*parts, *loads], "write an id of this file")
                at = self.lookups.place_of("cuts", name, "stays-live")
                refuse(at, f"there is no part or load '{short(live)}'", write, live)
        entry = self._section("cuts").entries[name]
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
                item.at,
                g.get("of", ""),
            )
            for item, g in self._pairs(self.tree, "looked-at", self._take("looked-at"))
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
                item.at,
            )
            for item, g in self._pairs(self.tree, "overrides", self._take("overrides"))
        )


def _nothing(tree: t.Tree) -> bool:
    """True where a key stands with nothing behind it."""
    return isinstance(tree, t.Scalar) and tree.plain and not tree.text


def _terms(item: t.Tree) -> tuple[t.Scalar, ...]:
    found = mapping(item).get("these")
    return tuple(scalar(s, "a state") for s in found.items) if isinstance(found, t.Sequence) else ()
