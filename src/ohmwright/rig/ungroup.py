"""Writing a group or array out into the file: its members, devices, links and leads as parts and runs of their own."""

from ohmwright.rig.groups import Bond, bonds
from ohmwright.rig.model import Part, Rig, Run
from ohmwright.rig.ports import is_group, ports_of
from ohmwright.rig.read import read_rig
from ohmwright.rig.splice import Splice, as_scalar, insert_key, last_character, root_of, spliced
from ohmwright.rig.standing import standing_text
from ohmwright.rig.surface import laid_text
from ohmwright.rig.telling import refuse, short, suggestion
from ohmwright.shelf.record import Shelf
from ohmwright.working import Figure, Given, NotThere, Position, Unknown
from ohmwright.working import tree as t


def ungroup(text: str, file: str, group: str, shelf: Shelf) -> str:
    """The text in which `group` is written member by member. Ids of members, links and leads stay as they were."""
    rig = read_rig(text, file, shelf)
    root = root_of(text, file)
    at = Position(file, 1, 1)
    part = rig.parts.get(group)
    if part is None or not is_group(part):
        groups = [p.id for p in rig.parts.values() if is_group(p)]
        refuse(
            at,
            f"'{short(group)}' is no group",
            suggestion(group, groups, "write the id of a group or array"),
            group,
        )
    writer = _Writer(text, rig, root, part)
    out = spliced(text, [*writer.parts(), *writer.ends(), *writer.runs()])
    read_rig(out, file, shelf)
    return out


class _Writer:
    def __init__(self, text: str, rig: Rig, root: t.Mapping, group: Part) -> None:
        self.text = text
        self.rig = rig
        self.root = root
        self.group = group
        table = ports_of(rig.parts, rig.use.loads, rig.metal.values())
        own = [b for b in bonds(rig.parts, table) if b.owner == group.id]
        self.touching = [b for b in own if b.role != "takeoff"]
        self.taken_off = {b.b: b.a for b in own if b.role == "takeoff"}

    def parts(self) -> list[Splice]:
        """The group's entry gives way to its members'."""
        section = self.root.entries["parts"].value
        assert isinstance(section, t.Mapping)
        entry = section.entries[self.group.id]
        written = [f"{p.id}: {self._part(p)}" for p in self.rig.parts.values() if p.group == self.group.id]
        if self.text[section.at.offset] == "{":
            return [Splice(entry.key.at.offset, last_character(self.text, entry.value), ", ".join(written))]
        indent = "\n" + " " * (entry.key.at.column - 1)
        return [Splice(entry.key.at.offset, last_character(self.text, entry.value), indent.join(written))]

    def _part(self, part: Part) -> str:
        pairs = [("is", part.record.id)]
        if part.place:
            pairs.append(("at", part.place))
        for name, word in part.words.items():
            if name != "ground_relay":
                pairs.append((name.replace("_", "-"), word))
        for name, given in part.figures.items():
            if name not in part.words:
                pairs.append((name.replace("_", "-"), written(given)))
        if part.found:
            pairs.append(("found", part.found))
        if part.laid is not None:
            pairs.append(("laid", laid_text(part.laid, part.turned)))
        if part.standing is not None:
            key = "on-board" if part.standing.wall == "board" else "stands"
            pairs.append((key, standing_text(part.standing)))
        body = ", ".join(f"{k}: {as_scalar(v, self.root.at)}" for k, v in pairs)
        return f"{{{body}{self._plane(part)}}}"

    def _plane(self, part: Part) -> str:
        pairs = [
            f"{k}: {as_scalar(v if isinstance(v, str) else written(v), self.root.at)}"
            for k, v in part.plane.items()
        ]
        return f", plane: {{{', '.join(pairs)}}}" if pairs else ""

    def ends(self) -> list[Splice]:
        """Runs that end at the take-off end at what it was taken from."""
        section = self.root.get("runs")
        out: list[Splice] = []
        if not isinstance(section, t.Mapping):
            return out
        for entry in section.entries.values():
            assert isinstance(entry.value, t.Mapping)
            for key in ("from", "to"):
                found = entry.value.get(key)
                if isinstance(found, t.Scalar):
                    self._end(found, found.at, out, braces=True)
                elif isinstance(found, t.Mapping):
                    for e in found.entries.values():
                        if isinstance(e.value, t.Scalar):
                            whole = e.key.at if e.key.text == "port" else e.value.at
                            self._end(e.value, whole, out, braces=False)
        return out

    def _end(self, scalar: t.Scalar, start: Position, out: list[Splice], *, braces: bool) -> None:
        text = scalar.text.strip()
        if text in self.taken_off:
            out.append(Splice(scalar.at.offset, scalar.at.end, self.taken_off[text]))
        elif f"{text}.+" in self.taken_off:
            pairs = ", ".join(f'"{p}": {self.taken_off[f"{text}.{p}"]}' for p in ("+", "-"))
            out.append(Splice(start.offset, scalar.at.end, f"{{{pairs}}}" if braces else pairs))

    def runs(self) -> list[Splice]:
        """Links and leads as runs; what is bolted or plugged together as runs of no length."""
        lines = [(r.id, self._run(r)) for r in self.rig.runs.values() if r.part_of == self.group.id]
        lines += [
            (self._touch_id(b), f"{{from: {b.a}, to: {b.b}, cable: maker's lead, length: none}}")
            for b in self.touching
        ]
        if not lines:
            return []
        section = self.root.get("runs")
        if not isinstance(section, t.Mapping) or not section.entries:
            body = "".join(f"\n  {i}: {w}" for i, w in lines)
            here = len(self.text.rstrip("\n"))
            if section is None:
                return [Splice(here, here, f"\nruns:{body}")]
            return [Splice(section.at.offset, section.at.end, body)]
        first = insert_key(self.text, section, lines[0][0], lines[0][1])
        if self.text[section.at.offset] == "{":
            return [Splice(first.start, first.end, "".join(f", {i}: {w}" for i, w in lines))]
        indent = "\n" + " " * (next(iter(section.entries.values())).key.at.column - 1)
        return [Splice(first.start, first.end, "".join(f"{indent}{i}: {w}" for i, w in lines))]

    def _touch_id(self, bond: Bond) -> str:
        """`B.2.F.post` becomes the run `B.post2`; a link between modules keeps its id."""
        if bond.role != "post":
            return bond.id
        return f"{self.group.id}.post{bond.id.split('.')[1]}"

    def _run(self, run: Run) -> str:
        if len(run.cores) == 1:
            a, b = run.cores[0].a, run.cores[0].b
        else:
            a = "{" + ", ".join(f'"{c.pole}": {c.a}' for c in run.cores) + "}"
            b = "{" + ", ".join(f'"{c.pole}": {c.b}' for c in run.cores) + "}"
        cable = as_scalar(run.cable.text or "unknown", self.root.at)
        length = written(run.length)
        return f"{{from: {a}, to: {b}, cable: {cable}{f', length: {length}' if length else ''}}}"


def written(given: Given) -> str:
    """A figure as the file writes it; "" for one that was never asked."""
    if isinstance(given, Figure):
        return given.text or f"{given.value:.10g} {given.unit}".removesuffix(" 1")
    if isinstance(given, Unknown):
        return f"unknown (asked {given.asked})" if given.asked else "unknown"
    return "none" if isinstance(given, NotThere) else ""
