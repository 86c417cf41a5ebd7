"""Look-ups between the sections of a file: one name for one thing, and nothing named that is not there."""

import re
from collections.abc import Iterable, Mapping

from ohmwright.rig import shape
from ohmwright.rig.model import Host, Load, LookedAt, Metal, Override, Part, Place, Rig, Source
from ohmwright.rig.quantities import Reading
from ohmwright.rig.telling import refuse, short, suggestion
from ohmwright.working import Position
from ohmwright.working import tree as t

#: Words that an address may begin with beside the ids of the file.
ROOMS = (*shape.SECTIONS, "rig", "bank", "all")

#: Tags that need no entry under sources: said by the owner.
OWN_TAGS = ("o",)

_SUBJECT = re.compile(r"[^\W\d_][\w-]*(?:\.\S+)?\Z")


class Lookups:
    """Checks names over the whole tree of a file."""

    def __init__(self, tree: t.Mapping) -> None:
        self.tree = tree

    def place_of(self, *path: str) -> Position:
        """Where the value at that path stands; as far as the path leads."""
        tree: t.Tree = self.tree
        for word in path:
            if not isinstance(tree, t.Mapping) or word not in tree:
                break
            tree = tree.entries[word].value
        return tree.at

    def _key_at(self, *path: str) -> Position:
        tree: t.Tree = self.tree
        at = self.tree.at
        for word in path:
            if not isinstance(tree, t.Mapping) or word not in tree:
                break
            at, tree = tree.entries[word].key.at, tree.entries[word].value
        return at

    def one_name(
        self, parts: Mapping[str, Part], loads: Iterable[str], places: Iterable[str], metal: Iterable[str]
    ) -> None:
        """One namespace for parts, loads, places and metal bodies."""
        rooms: tuple[tuple[str, Iterable[str], tuple[str, ...]], ...] = (
            ("a part", (i for i, p in parts.items() if not p.group or p.group not in parts), ("parts",)),
            ("a load", loads, ("use", "loads")),
            ("a place", places, ("host", "places")),
            ("a metal body", metal, ("metal",)),
        )
        seen: dict[str, str] = {}
        for what, ids, path in rooms:
            for name in ids:
                if name in seen:
                    write = f"give {what} another id: one file, one name for one thing"
                    refuse(self._key_at(*path, name), f"'{name}' is {seen[name]} already", write, name)
                if name in ROOMS:
                    refuse(
                        self._key_at(*path, name),
                        f"'{name}' is the name of a section",
                        "write another id",
                        name,
                    )
                if "." in name and what != "a part":
                    refuse(
                        self._key_at(*path, name),
                        f"'{name}' has a dot in it",
                        "write an id without dots",
                        name,
                    )
                seen[name] = what
        for name in parts:
            head = name.partition(".")[0]
            if head != name and seen.get(head, "a part") != "a part":
                refuse(
                    self._key_at("parts", name), f"'{head}' is {seen[head]} already", "write another id", name
                )

    def run_names(self, runs: Iterable[str], *others: Mapping[str, object]) -> None:
        """A run's id is nobody else's, and no part's address."""
        for name in runs:
            head = name.partition(".")[0]
            if any(name in other for other in others) or name in ROOMS:
                at = self._key_at("runs", name)
                refuse(at, f"'{name}' is the id of something else already", "give the run another id", name)
            if head != name and any(head in other for other in others):
                at = self._key_at("runs", name)
                refuse(at, f"'{name}' looks like a part of {head}", "give the run an id without a dot", name)

    def references(
        self, host: Host, metal: Mapping[str, Metal], parts: Mapping[str, Part], loads: Mapping[str, Load]
    ) -> None:
        """Places, metal bodies and banks that are named are there."""
        places = host.places
        for part in parts.values():
            where = part.group if part.group in parts else part.id
            if part.place and part.place not in places:
                self._no("place", part.place, places, ("parts", where, "at"))
            if (body := part.words.get("on")) and body not in metal:
                self._no("metal body", body, metal, ("parts", where, "on"))
            for key in ("counts", "watches"):
                for bank in part.words.get(key, "").split():
                    if bank not in parts and not any(p.group == bank for p in parts.values()):
                        self._no("bank", bank, parts, ("parts", where, key))
        for load in loads.values():
            if load.place and load.place not in places:
                self._no("place", load.place, places, ("use", "loads", load.id, "at"))
            warmed = load.words.get("warms", "")
            if warmed and warmed not in places:
                self._no("place", warmed, places, ("use", "loads", load.id, "warms"))
        for one in metal.values():
            for other in (*one.joined, *one.wet):
                if other not in metal:
                    self._no("metal body", other, metal, ("metal", one.id))
        for place in places.values():
            self._inside(place, places)

    def _no(self, what: str, name: str, among: Iterable[str], path: tuple[str, ...]) -> None:
        section = {"place": "write it under host: places:", "metal body": "write it under metal:"}
        write = suggestion(name, among, section.get(what, "write the id of a battery or group"))
        refuse(self.place_of(*path), f"there is no {what} '{short(name)}'", write, name)

    def _inside(self, place: Place, places: Mapping[str, Place]) -> None:
        chain = [place.id]
        while (outer := places[chain[-1]].words.get("inside")) is not None:
            path = ("host", "places", chain[-1], "inside")
            if outer not in places:
                self._no("place", outer, places, path)
            if outer in chain:
                story = " in ".join([*chain, outer])
                refuse(
                    self.place_of(*path),
                    f"{outer} lies inside itself: {story}",
                    "leave one `inside` out",
                    outer,
                )
            chain.append(outer)

    def subjects(self, rig: Rig) -> None:
        """What a looked-at or an override is about must be there, else it protects nothing."""
        ids: tuple[Mapping[str, object], ...] = (
            rig.parts, rig.use.loads, rig.runs, rig.host.places, rig.metal, rig.host.ways, rig.cases, rig.cuts,
        )  # fmt: skip
        groups = {p.group for p in rig.parts.values()}
        entries: tuple[LookedAt | Override, ...] = (*rig.looked_at, *rig.overrides)
        for entry in entries:
            subject = entry.subject
            head = subject.partition(".")[0]
            known = head in ROOMS or head in groups or any(head in room or subject in room for room in ids)
            if known or not _SUBJECT.match(subject):
                continue
            write = suggestion(
                head, (i for room in ids for i in room), "write an id of this file, or take the entry out"
            )
            refuse(self._of_entry(entry), f"nothing here is called '{short(head)}'", write, subject)

    def _of_entry(self, entry: LookedAt | Override) -> Position:
        for section in ("looked-at", "overrides"):
            found = self.tree.get(section)
            for item in found.items if isinstance(found, t.Sequence) else ():
                if item.at == entry.position and isinstance(item, t.Mapping):
                    return item.entries["subject"].value.at
        return entry.position

    def tags(self, reading: Reading, sources: Mapping[str, Source]) -> None:
        """Every origin tag stands in the file's table of sources."""
        for tag, at in reading.tags:
            if tag not in sources and tag not in OWN_TAGS:
                write = suggestion(
                    tag, sources, f"write {tag}: {{title: ...}} under sources:, or (m DATE) for measured"
                )
                refuse(at, f"the file's sources have no '{short(tag)}'", write, tag)
