"""The parts of a rig file: shelf entries, figures over them, groups and arrays with their members."""

import re
from dataclasses import replace
from typing import Any

from ohmwright.kinds.base import COMMON_FIGURES, COMMON_WORDS, Kind, WordSpec
from ohmwright.rig import shape
from ohmwright.rig.cable import read_cable
from ohmwright.rig.model import Cable, Join, Part
from ohmwright.rig.quantities import Reading, quantity
from ohmwright.rig.standing import Standing, read_standings
from ohmwright.rig.surface import read_laid
from ohmwright.rig.telling import (
    NO,
    YES,
    check_name,
    listed,
    mapping,
    refuse,
    scalar,
    short,
    suggestion,
)
from ohmwright.shelf.record import Record, Shelf
from ohmwright.working import Absent, Figure, Given, QuantityError, Unknown, parse
from ohmwright.working import tree as t

MAX_MODULES = 400
_ARRAY = re.compile(r"([1-9]\d?)\s*s\s*([1-9]\d?)\s*p\Z")
_WAY = re.compile(r"(?P<figure>.*?)(?:\s+(?P<poles>L[123]?(?:\+(?:L[123]?|N|PE))*))?\Z")


def read_parts(tree: t.Tree, shelf: Shelf, reading: Reading) -> dict[str, Part]:
    """All parts as written and their members, in file order."""
    out: dict[str, Part] = {}
    records: dict[str, Record | None] = {}
    for entry in mapping(tree).entries.values():
        name = check_name(entry.key, "a part")
        reader = _PartReader(name, entry, shelf, records, reading)
        for part in reader.read():
            if part.id in out:
                refuse(
                    entry.key.at,
                    f"{part.id} is a member of {out[part.id].group or part.id} already",
                    "write another id, or ungroup the group",
                )
            out[part.id] = part
    return out


def read_cable_at(tree: t.Tree) -> Cable:
    """The cable that stands there."""
    s = scalar(tree, "a cable, for instance 10 mm2 tinned red")
    try:
        return read_cable(s.text)
    except QuantityError as error:
        refuse(s.at, error.message, error.remedy, s.text)


class _PartReader:
    """Reads one entry of `parts`."""

    def __init__(
        self, name: str, entry: t.Entry, shelf: Shelf, records: dict[str, Record | None], reading: Reading
    ) -> None:
        self.name = name
        self.entry = entry
        self.shelf = shelf
        self.records = records
        self.reading = reading

    def read(self) -> list[Part]:
        """The part, and its members after it."""
        tree = mapping(self.entry.value)
        named = tree.get("is")
        if named is None:
            refuse(
                self.entry.key.at,
                f"{self.name} does not say what it is",
                "write is: a part of the shelf, or a bare kind",
            )
        record = self._record(named)
        known: dict[str, Any] = {}
        figures: dict[str, Given] = {}
        words: dict[str, str] = {}
        for key, e in tree.entries.items():
            form = shape.PART.get(key)
            if form is None:
                self._own(e, record.kind, figures, words)
            elif key != "is":
                known[key] = form.take(e.value, self.reading)
        return self._made(record, known, figures, words, tree)

    def _record(self, tree: t.Tree) -> Record:
        s = scalar(tree, "a part of the shelf")
        text = s.text.strip()
        if text not in self.records:
            self.records[text] = self.shelf.find(text)
        record = self.records[text]
        if record is None:
            refuse(
                s.at,
                f"the shelf has no '{short(text)}'",
                suggestion(text, self.shelf, "list the shelf, or add the part to the job's own shelf"),
                text,
            )
        return record

    def _own(
        self,
        entry: t.Entry,
        kind: Kind,
        figures: dict[str, Given],
        words: dict[str, str],
        *,
        within: str = "",
    ) -> None:
        """A figure or word of the part's kind."""
        key = entry.key.text
        name = key.replace("-", "_")
        if (
            name not in kind.figures
            and name not in kind.words
            and shape.SAME_FIGURE.get(name) in kind.figures
        ):
            name = shape.SAME_FIGURE[name]
        spec = kind.figures.get(name) or COMMON_FIGURES.get(name)
        if spec is not None:
            s = scalar(entry.value, "a quantity")
            given = figures[name] = quantity(s, s.text, (spec.unit,), self.reading)
            if isinstance(given, Figure) and (why := spec.refused(name, given.value)):
                refuse(s.at, f"'{short(s.text)}' {why[0]}", why[1], s.text)
            return
        word = kind.words.get(name) or COMMON_WORDS.get(name)
        if word is None:
            names = [
                n.replace("_", "-") for n in (*kind.figures, *COMMON_FIGURES, *kind.words, *COMMON_WORDS)
            ]
            among = names if within else [*shape.PART, *names]
            refuse(
                entry.key.at,
                f"'{short(key)}' is no key of {self.name}, a {kind.title}{within}",
                suggestion(key, among, f"write one of: {listed(among, 30)}"),
                key,
            )
        words[name] = self._word(entry, name, word, figures)

    def _word(self, entry: t.Entry, name: str, spec: WordSpec, figures: dict[str, Given]) -> str:
        s = scalar(entry.value, listed(spec.allowed) if spec.allowed else "a word")
        text = s.text.strip()
        if text.startswith("unknown"):
            given = parse_unknown(s)
            if given is not None:
                figures[name] = given
                return "unknown"
        if not spec.allowed:
            return shape.PART["found"].take(s, self.reading)  # type: ignore[no-any-return]
        if text not in spec.allowed and text in YES | NO:
            text = "yes" if text in YES else "no"
        if text not in spec.allowed:
            refuse(
                s.at,
                f"'{short(text)}' is none of: {listed(spec.allowed)}",
                suggestion(text, spec.allowed, f"write one of: {listed(spec.allowed)}"),
                text,
            )
        return text

    def _made(
        self,
        record: Record,
        known: dict[str, Any],
        figures: dict[str, Given],
        words: dict[str, str],
        tree: t.Mapping,
    ) -> list[Part]:
        for key in ("on", "run-by", "own", "note"):
            if key in known:
                words[key.replace("-", "_")] = known[key]
        for key in ("counts", "watches"):
            if key in known:
                words[key] = " ".join(known[key])
        if "gap" in known:
            figures["gap"] = known["gap"]
        if "fitted" in known:
            for e in mapping(known["fitted"]).entries.values():
                self._own(e, record.kind, figures, words, within=" (fitted)")
        ways, way_words = self._ways(known.get("ways"))
        plane = dict(known.get("plane") or {})
        if known.get("flat") == "yes":
            plane = {"tilt": parse("0 deg", "deg"), "faces": "flat"}
        part = Part(
            self.name, record, known.get("at", ""), figures, words, ways, way_words,
            found=known.get("found", ""), position=self.entry.key.at, plane=plane, group=self.name.partition(".")[0] if "." in self.name else "",
        )  # fmt: skip
        if "on-board" in known and "stands" in known:
            refuse(
                tree.entries["stands"].key.at,
                f"{self.name} stands in its place and on the board of it",
                "write one of them: stands or on-board",
            )
        if "laid" in known and record.kind.name != "module":
            refuse(tree.entries["laid"].key.at, f"{self.name} is no module", "write laid: of modules only")
        if "laid" in known and "array" not in known:
            (at, turned), *_ = read_laid(known["laid"], ("1.1",), self.name).values() or [(None, False)]
            part = replace(part, laid=at, turned=turned)
        if "array" in known:
            return self._array(part, known, tree)
        if "count" in known:
            return self._group(part, known, tree)
        for key in ("each", "join", "but"):
            if key in known:
                refuse(
                    tree.entries[key].key.at,
                    f"'{key}' of a part that is no group",
                    "write count: 2 (or array: 3s1p), or leave it out",
                )
        return self._stood([part], (), known)

    def _stood(self, parts: list[Part], ids: tuple[str, ...], known: dict[str, Any]) -> list[Part]:
        """The parts with where they stand, by the names that the members of a group have in it."""
        for key in ("stands", "on-board"):
            if key not in known:
                continue
            told = {
                f"{self.name}.{i}" if i else self.name: s
                for i, s in read_standings(known[key], key, ids, self.name).items()
            }
            for n, part in enumerate(parts):
                s = told.get(part.id)
                if isinstance(s, Standing):
                    parts[n] = replace(part, standing=s)
                elif s is not None:
                    parts[n] = replace(part, figures={**part.figures, key: s})
        return parts

    def _ways(self, tree: t.Tree | None) -> tuple[dict[str, Given], dict[str, str]]:
        ways: dict[str, Given] = {}
        poles: dict[str, str] = {}
        if tree is None:
            return ways, poles
        for key, e in mapping(tree).entries.items():
            if not key.isdecimal() or len(key) > 3:
                refuse(
                    e.key.at, f"'{short(key)}' is no way", "write the way's number, for instance 1: 15 A", key
                )
            s = scalar(e.value, "a rating, for instance 15 A")
            m = _WAY.match(s.text.strip())
            text = m["figure"] if m and m["figure"] else s.text
            given = ways[key] = quantity(s, text, ("A",), self.reading, least=0)
            if isinstance(given, Figure) and given.value == 0:
                refuse(s.at, f"'{short(text)}' is no rating", "write what stands on it, or none", text)
            if m and m["poles"]:
                poles[key] = m["poles"]
        return ways, poles

    def _array(self, part: Part, known: dict[str, Any], tree: t.Mapping) -> list[Part]:
        at = tree.entries["array"].value.at
        m = _ARRAY.match(known["array"])
        if m is None:
            refuse(
                at,
                f"'{short(known['array'])}' is no array",
                "write modules in series and strings, for instance 3s1p",
            )
        if "count" in known:
            refuse(tree.entries["count"].key.at, "an array has no count", "write array: 3s1p alone")
        for key in ("each", "join"):
            if key in known:
                refuse(
                    tree.entries[key].key.at,
                    f"an array has no '{key}'",
                    "string fuses are parts of their own: write them with runs",
                )
        for key in ("stands", "on-board"):
            if key in known:
                refuse(tree.entries[key].key.at, f"an array has no '{key}'", "write where modules lie: laid")
        per_string, strings = int(m[1]), int(m[2])
        if per_string * strings > MAX_MODULES:
            refuse(at, f"{per_string * strings} modules", f"write at most {MAX_MODULES}")
        ids = [f"{s}.{n}" for s in range(1, strings + 1) for n in range(1, per_string + 1)]
        whole = replace(part, strings=strings, per_string=per_string)
        members = self._members(part, ids, known, ())
        if "laid" in known:
            laid = read_laid(known["laid"], tuple(ids), self.name)
            places = {f"{part.id}.{i}": at for i, at in laid.items()}
            members = [
                replace(m, laid=places[m.id][0], turned=places[m.id][1]) if m.id in places else m
                for m in members
            ]
        return [whole, *members]

    def _group(self, part: Part, known: dict[str, Any], tree: t.Mapping) -> list[Part]:
        count = known["count"]
        join = self._join(known.get("join"), tree, count)
        each = [(name, self._each_record(name, tree)) for name in known.get("each", {})]
        ids = [str(n) for n in range(1, count + 1)]
        members = self._members(part, ids, known, tuple(each))
        named = tuple(m.id.removeprefix(f"{part.id}.") for m in members)
        return self._stood([replace(part, count=count, join=join), *members], named, known)

    def _each_record(self, name: str, tree: t.Mapping) -> Record:
        entry = mapping(tree.entries["each"].value).entries[name]
        if "." in name:
            refuse(
                entry.key.at, f"'{name}' is no name for a device", "write a letter or word, for instance F"
            )
        return self._record(entry.value)

    def _join(self, join: dict[str, Any] | None, tree: t.Mapping, count: int) -> Join:
        if join is None:
            if count > 1:
                refuse(
                    self.entry.key.at,
                    f"{self.name} does not say how its {count} members hang together",
                    "write join: {as: chain, link: 2/0 AWG, link-length: 0.3 m, takeoff: diagonal}",
                )
            return Join("chain", takeoff="same-end")
        where = mapping(tree.entries["join"].value)
        how = join["as"]
        wanted = {"chain": ("link", "takeoff"), "series": ("link",), "busbars": ("plus", "minus", "lead")}[
            how
        ]
        allowed = {
            "chain": ("link", "link-length", "takeoff"),
            "series": ("link", "link-length"),
            "busbars": ("plus", "minus", "lead", "lead-length"),
        }[how]
        for key in wanted:
            if key not in join and count > 1:
                refuse(
                    where.at,
                    f"a join as {how} needs '{key}'",
                    f"write {key}: {shape.JOIN.fields[key].meaning}",
                )
        for key in join:
            if key not in (*allowed, "as", "post-length"):
                refuse(
                    where.entries[key].key.at,
                    f"a join as {how} has no '{key}'",
                    f"write {', '.join(allowed)}",
                )
        return Join(
            how,
            read_cable_at(join["link"]) if "link" in join else None,
            join.get("link-length", Absent()),
            join.get("takeoff", "") or ("same-end" if how == "chain" else ""),
            join.get("plus", ""),
            join.get("minus", ""),
            read_cable_at(join["lead"]) if "lead" in join else None,
            join.get("lead-length", Absent()),
            post_length=join.get("post-length"),
        )

    def _members(
        self, part: Part, ids: list[str], known: dict[str, Any], each: tuple[tuple[str, Record], ...]
    ) -> list[Part]:
        base = replace(part, group=part.id, found="")
        changed: dict[str, t.Mapping] = {}
        for key, e in mapping(known["but"]).entries.items() if "but" in known else ():
            if key not in ids:
                refuse(
                    e.key.at, f"{self.name} has no member {short(key)}", f"write one of: {listed(ids)}", key
                )
            changed[key] = mapping(e.value)
        out: list[Part] = []
        for i in ids:
            member = replace(base, id=f"{part.id}.{i}")
            if i in changed:
                member = self._odd(member, changed[i])
            out.append(member)
            out += [
                Part(f"{member.id}.{name}", record, member.place, group=part.id, position=part.position)
                for name, record in each
            ]
        return out

    def _odd(self, member: Part, tree: t.Mapping) -> Part:
        """A member that differs from the rest."""
        record = member.record
        figures, words, found, place = dict(member.figures), dict(member.words), "", member.place
        if (named := tree.get("is")) is not None:
            record = self._record(named)
        for key, e in tree.entries.items():
            if key == "found":
                found = shape.PART["found"].take(e.value, self.reading)
            elif key == "at":
                place = shape.PART["at"].take(e.value, self.reading)
            elif key != "is":
                self._own(e, record.kind, figures, words)
        return replace(member, record=record, figures=figures, words=words, found=found, place=place)


def parse_unknown(s: t.Scalar) -> Unknown | None:
    """`unknown (asked DATE)` where a word is wanted."""
    try:
        given = parse(s.text)
    except QuantityError as error:
        refuse(s.at, error.message, "write unknown, or unknown (asked 2026-05-02)", s.text)
    return given if isinstance(given, Unknown) else None
