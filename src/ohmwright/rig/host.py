"""What carries the rig: job, masses, places, ways, metal bodies."""

from collections.abc import Mapping
from typing import Any

from ohmwright.rig import shape
from ohmwright.rig.model import Host, Job, Metal, Place, Vent, Way
from ohmwright.rig.quantities import Reading, quantity
from ohmwright.rig.surface import asked, read_horizon, read_obstacles, read_trees
from ohmwright.rig.telling import (
    addressed,
    listed,
    mapping,
    not_above,
    pick,
    refuse,
    scalar,
    short,
    suggestion,
)
from ohmwright.working import Figure, Given
from ohmwright.working import tree as t

_PLACE_FIGURES = ("vents", "coldest", "hottest", "kept-above", "UA", "volume", "floods-at")
_PLACE_WORDS = ("inside", "vapour", "shade", "snow-reflection", "ashore", "note")
_WAY_WORDS = ("underbody", "buried", "rooftop", "conduit", "engine", "vapour", "note")


def read_job(got: dict[str, Any]) -> Job:
    """The job; `rules` is split into the set and its year."""
    rules, _, edition = got.get("rules", "").partition(" ")
    return Job(
        id=got.get("id", ""),
        title=got.get("title", ""),
        based_on=got.get("based-on", ""),
        revision=got.get("revision", ""),
        stage=got.get("stage", ""),
        units=got.get("units", "metric"),
        paper=got.get("paper", ""),
        sheets=got.get("sheets", ""),
        symbols=got.get("symbols", ""),
        language=got.get("language", ""),
        options=tuple(got.get("options", ())),
        currency=got.get("currency", ""),
        rules=rules,
        edition=edition.strip(),
        words=pick(got, "owner", "shop", "designer", "dated", "lawful-hands", "note"),
    )


def read_host(got: dict[str, Any], tree: t.Mapping, reading: Reading) -> Host:
    """The host with its places and ways."""
    if not got:
        return Host("")
    masses, words = _masses(got.get("masses"), reading)
    words.update(pick(got, "axes", "note"))
    places = {k: _place(k, v, _entry(tree, "places", k)) for k, v in got.get("places", {}).items()}
    ways = {k: _way(k, v, places, _entry(tree, "ways", k)) for k, v in got.get("ways", {}).items()}
    return Host(got["kind"], masses, words, places, ways)


def read_metal(name: str, got: dict[str, Any]) -> Metal:
    """A metal body: joined and touches conduct, wet does not."""
    joined = (*got.get("joined", ()), *got.get("touches", ()))
    return Metal(name, joined, tuple(got.get("wet", ())), pick(got, "metal", "note"))


def _entry(tree: t.Mapping, section: str, key: str) -> t.Entry:
    return mapping(tree.entries[section].value).entries[key]


def _masses(tree: t.Tree | None, reading: Reading) -> tuple[dict[str, Given], dict[str, str]]:
    figures: dict[str, Given] = {}
    words: dict[str, str] = {}
    for key, e in mapping(tree).entries.items() if tree is not None else ():
        if key == "sold-before":
            words[key] = shape.HOST.fields["axes"].take(e.value, reading)
            continue
        units = shape.MASSES.get(key)
        if units is None:
            write = suggestion(key, shape.MASSES, f"write one of: {listed(shape.MASSES, 20)}")
            refuse(e.key.at, f"'{short(key)}' is no mass of a host", write, key)
        s = scalar(e.value, "a quantity")
        figures[key] = addressed(quantity(s, s.text, units, reading, least=0), f"host.masses.{key}")
    return figures, words


def _place(name: str, got: dict[str, Any], entry: t.Entry) -> Place:
    vents = _vents(name, got, entry)
    figures: dict[str, Given] = {
        k: addressed(got[k], f"{name}.{k}")
        for k in _PLACE_FIGURES
        if k in got and not (vents and k == "vents")
    }
    figures |= {f"vents.{v.id}.area": v.area for v in vents.values()}
    not_above(got, mapping(entry.value).entries)
    words = pick(got, *_PLACE_WORDS)
    lengths: dict[str, Any] = {}
    for key in (
        "at",
        "size",
        "opening",
        "outline",
        "board",
        "opening-at",
        "vent-low",
        "vent-high",
        "board-at",
    ):
        value = got.get(key)
        if isinstance(value, tuple):
            lengths[key] = value
        elif value is not None:
            figures[key] = addressed(value, f"{name}.{key}")
    if "opening" in lengths:
        words["opening"] = " x ".join(f"{v:g}" for v in lengths["opening"]) + " m"
    planes = dict(got.get("planes", {}))
    if "plane" in got:
        planes["all"] = got["plane"]
    at, size = lengths.get("at"), lengths.get("size")
    obstacles = read_obstacles(got.get("obstacles", {}), name)
    figures.update(asked(obstacles))
    return Place(
        name, got.get("regime", ""), at, size, figures, words, planes, entry.key.at, lengths.get("outline"), lengths.get("board"), obstacles,
        read_horizon(got.get("horizon", {}), name), read_trees(got.get("trees", {}), name),
        lengths.get("opening-at"), lengths.get("vent-low"), lengths.get("vent-high"), lengths.get("board-at"), vents,
    )  # fmt: skip


def _vents(place: str, got: dict[str, Any], entry: t.Entry) -> dict[str, Vent]:
    """Vents that the file has one by one; it says then where each sits with the vent itself."""
    told = got.get("vents")
    if not isinstance(told, dict):
        return {}
    for key in ("vent-low", "vent-high"):
        if key in got:
            at = mapping(entry.value).entries[key].key.at
            refuse(at, f"'{key}' beside vents by name", "write where it sits with the vent: at: 0.1 0.08 m")
    return {
        name: Vent(
            name,
            addressed(one["area"], f"{place}.vents.{name}.area"),
            one["at"] if isinstance(one.get("at"), tuple) else None,
            one["size"] if isinstance(one.get("size"), tuple) else None,
            one.get("note", ""),
        )
        for name, one in told.items()
    }


def _way(name: str, got: dict[str, Any], places: Mapping[str, Place], entry: t.Entry) -> Way:
    a, dash, b = name.partition(" - ")
    a, b = a.strip(), b.strip()
    if not dash or a == b:
        write = "write two places with a hyphen between spaces, for instance roof - side-bay"
        refuse(entry.key.at, f"'{short(name)}' is no way between two places", write, name)
    for place in (a, b):
        if place not in places:
            write = suggestion(place, places, "write it under places: first")
            refuse(
                entry.key.at,
                f"the way '{short(name)}' leads to '{short(place)}', which is no place",
                write,
                name,
            )
    words = pick(got, *_WAY_WORDS)
    if got.get("bulkhead"):
        words["bulkhead"] = str(got["bulkhead"])
    if isinstance(got.get("hottest"), Figure):
        words["hottest"] = got["hottest"].text
    return Way(
        name, a, b, addressed(got["length"], f"{name}.length"), got.get("glands", 0), words, entry.key.at
    )
