"""Laying modules on a surface in the file: `laid:` as one place, as a map, or not there yet."""

from ohmwright.rig.insert import take_keys
from ohmwright.rig.model import Part, Rig
from ohmwright.rig.splice import Splice, as_scalar, insert_key, root_of, spliced
from ohmwright.rig.surface import laid_text
from ohmwright.rig.telling import YES, refuse, short
from ohmwright.working import tree as t

TURNED = " turned"


def place_of(rig: Rig, module: str) -> tuple[str, str]:
    """The part whose `laid:` names a module, and the name it has there ("" for a part that is one module)."""
    part = rig.parts.get(module)
    if part is None or part.kind.name != "module" or part.strings:
        refuse(root_of(rig.text, "").at, f"'{short(module)}' is no module", "name one module", module)
    if part.group and part.group in rig.parts and rig.parts[part.group].strings:
        return part.group, module.removeprefix(f"{part.group}.")
    return part.id, ""


def lay(text: str, file: str, rig: Rig, module: str, place: str) -> str:
    """The text in which a module lies at `place` ("0.3 0.2 m", "0.3 0.2 m turned"); "" takes its place away."""
    owner, member = place_of(rig, module)
    path = ("parts", owner)
    part = root_of(text, file).get("parts")
    entry = part.get(owner) if isinstance(part, t.Mapping) else None
    if not isinstance(entry, t.Mapping):
        where = entry.at if entry is not None else root_of(text, file).at
        refuse(
            where, f"{owner} has no line of its own to lay it in", f"write {owner} as a map, or ungroup it"
        )
    laid = entry.get("laid")
    if not member:
        return (
            take_keys(text, file, path, frozenset({"laid"})) if not place else _put(text, entry, laid, place)
        )
    if isinstance(laid, t.Scalar) and laid.text:
        return (
            take_keys(text, file, path, frozenset({"laid"})) if not place else _put(text, entry, laid, place)
        )
    if not isinstance(laid, t.Mapping):
        return _put(text, entry, laid, f"{{{as_scalar(member, entry.at)}: {as_scalar(place, entry.at)}}}", flow=True) if place else text  # fmt: skip
    if not place:
        keys = frozenset(k for k in laid if k != "turned") - {member}
        return take_keys(
            text, file, (*path, "laid") if keys else path, frozenset({member if keys else "laid"})
        )
    if _all_turned(laid):
        return _spelt_out(text, file, rig.parts[owner], rig, laid, member, place)
    there = laid.get(member)
    if there is not None:
        return spliced(text, [Splice(there.at.offset, there.at.end, as_scalar(place, there.at))])
    return spliced(text, [insert_key(text, laid, as_scalar(member, laid.at), as_scalar(place, laid.at))])


def _put(text: str, entry: t.Mapping, laid: t.Tree | None, place: str, *, flow: bool = False) -> str:
    written = place if flow else as_scalar(place, entry.at)
    if laid is not None:
        return spliced(text, [Splice(laid.at.offset, laid.at.end, written)])
    return spliced(text, [insert_key(text, entry, "laid", written)])


def _all_turned(laid: t.Mapping) -> bool:
    word = laid.get("turned")
    return isinstance(word, t.Scalar) and word.text.strip() in YES


def _spelt_out(text: str, file: str, group: Part, rig: Rig, laid: t.Mapping, member: str, place: str) -> str:
    """`turned: yes` holds for all modules: where all stay turned only a place changes, else each says it for itself."""
    there = laid.get(member)
    if place.endswith(TURNED) and isinstance(there, t.Scalar):
        bare = place.removesuffix(TURNED)
        return spliced(text, [Splice(there.at.offset, there.at.end, as_scalar(bare, there.at))])
    splices = []
    for key, e in laid.entries.items():
        part = rig.parts.get(f"{group.id}.{key}")
        if key in ("turned", member) or part is None or part.laid is None:
            continue
        splices.append(Splice(e.value.at.offset, e.value.at.end, laid_text(part.laid, True)))
    if isinstance(there, t.Scalar):
        splices.append(Splice(there.at.offset, there.at.end, as_scalar(place, there.at)))
    else:
        splices.append(insert_key(text, laid, as_scalar(member, laid.at), as_scalar(place, laid.at)))
    return take_keys(spliced(text, splices), file, ("parts", group.id, "laid"), frozenset({"turned"}))
