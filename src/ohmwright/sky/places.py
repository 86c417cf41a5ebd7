"""Names of places: towns from the packaged list, a few regions, and coordinates as people write them."""

import json
import re
import unicodedata
import zlib
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from ohmwright.working import OhmwrightError, nearest, packaged


class Place(NamedTuple):
    """A named point; `others` are the full names of smaller places of the same name."""

    latitude_deg: float
    longitude_deg: float
    altitude_m: float | None
    full_name: str
    others: tuple[str, ...] = ()


#: Regions that people name instead of a town: a point in the middle of their coast or of where people go
#: (common knowledge, no source).
REGIONS: dict[str, Place] = {
    "azores": Place(37.74, -25.67, None, "Azores (Ponta Delgada)"),
    "balearics": Place(39.57, 2.65, None, "Balearics (Palma)"),
    "baltic": Place(59.44, 24.75, None, "Baltic (Tallinn)"),
    "brittany": Place(47.75, -3.37, None, "Brittany (Lorient)"),
    "canaries": Place(28.10, -15.41, None, "Canaries (Las Palmas)"),
    "canary islands": Place(28.10, -15.41, None, "Canaries (Las Palmas)"),
    "cape verde": Place(14.93, -23.51, None, "Cape Verde (Praia)"),
    "cornwall": Place(50.26, -5.05, None, "Cornwall (Truro)"),
    "corsica": Place(41.93, 8.74, None, "Corsica (Ajaccio)"),
    "faroes": Place(62.01, -6.77, None, "Faroes (Torshavn)"),
    "highlands": Place(57.48, -4.22, None, "Scottish Highlands (Inverness)"),
    "lapland": Place(67.65, 24.90, None, "Lapland (Kittila)"),
    "lofoten": Place(68.23, 14.57, None, "Lofoten (Svolvaer)"),
    "madeira": Place(32.65, -16.91, None, "Madeira (Funchal)"),
    "orkney": Place(58.98, -2.96, None, "Orkney (Kirkwall)"),
    "patagonia": Place(-46.57, -71.69, None, "Patagonia (Coyhaique)"),
    "provence": Place(43.70, 6.50, None, "Provence (Draguignan)"),
    "sardinia": Place(39.22, 9.12, None, "Sardinia (Cagliari)"),
    "shetland": Place(60.15, -1.14, None, "Shetland (Lerwick)"),
    "tasmania": Place(-42.88, 147.33, None, "Tasmania (Hobart)"),
    "virgin islands": Place(18.43, -64.62, None, "Virgin Islands (Road Town)"),
}

_COORDINATES = re.compile(
    r"^\s*(?P<lat>\d+(?:\.\d+)?)\s*°?\s*(?P<ns>[NS])[\s,]*(?P<lon>\d+(?:\.\d+)?)\s*°?\s*(?P<ew>[EW])(?:[\s,]+(?P<alt>-?\d+(?:\.\d+)?)\s*(?P<unit>m|ft))?\s*$",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Point:
    """Coordinates as written; the altitude only where it was written."""

    latitude_deg: float
    longitude_deg: float
    altitude_m: float | None


def parse_coordinates(text: str) -> Point:
    """The point that a text like `61.9 N 9.0 E 840 m` names.

    >>> parse_coordinates("61.9 N 9.0 E 840 m")
    Point(latitude_deg=61.9, longitude_deg=9.0, altitude_m=840.0)
    """
    m = _COORDINATES.match(text[:100])
    if m is None:
        raise OhmwrightError(
            f"'{text[:60]}' is no point on the map",
            remedy="write degrees north or south, east or west, for instance 61.9 N 9.0 E 840 m",
        )
    latitude, longitude = float(m["lat"]), float(m["lon"])
    if latitude > 90 or longitude > 180:
        raise OhmwrightError(f"'{text}' lies off the globe", remedy="write at most 90 N or S and 180 E or W")
    altitude = None if m["alt"] is None else float(m["alt"]) * (0.3048 if m["unit"] == "ft" else 1.0)
    return Point(
        latitude * (-1 if m["ns"] == "S" else 1), longitude * (-1 if m["ew"] == "W" else 1), altitude
    )


def key(name: str) -> str:
    """How a name is looked up: no accents, capitals, points or hyphens.

    >>> key("Saint-Étienne")
    'saint etienne'
    """
    bare = "".join(c for c in unicodedata.normalize("NFKD", name) if not unicodedata.combining(c))
    return " ".join(
        bare.casefold().replace(".", " ").replace("-", " ").replace(",", " ").replace("'", "").split()
    )


@lru_cache(maxsize=1)
def _list() -> tuple[dict[str, str], dict[str, str], str]:
    """Countries by code, states by code, and the lines of the list."""
    text = zlib.decompress(packaged("ohmwright.sky", "places.bin")).decode()
    told, lines = text.split("\n", 1)
    words = json.loads(told)
    return words["countries"], words["states"], "\n" + lines


def _lines(wanted: str) -> list[list[str]]:
    _, _, lines = _list()
    start = "\n" + wanted + "\t"
    found, at = [], lines.find(start)
    while at >= 0:
        end = lines.index("\n", at + 1)
        found.append(lines[at + 1 : end].split("\t"))
        at = end if lines.startswith(start, end) else -1
    return found


def find(name: str) -> Place | None:
    """The place that a name means, the largest of its name; a state of the US or a country may follow.

    `Duluth MN`, `Duluth, Minnesota`, `Brest, France` and `Brest FR` are understood.
    """
    wanted = key(name[:100])
    if (region := REGIONS.get(wanted)) is not None:
        return region
    words = wanted.split()
    for cut in range(len(words), 0, -1):
        found = _lines(" ".join(words[:cut]))
        rest = " ".join(words[cut:])
        kept = [f for f in found if not rest or rest in _regions_of(f)]
        if kept:
            first, *others = kept
            altitude = float(first[6]) if first[6] else None
            return Place(
                float(first[4]), float(first[5]), altitude, _full(first), tuple(_full(f) for f in others)
            )
    return None


def suggestion(name: str) -> str | None:
    """The name of the list nearest to a misspelt one."""
    _, _, lines = _list()
    names = [line.split("\t", 1)[0] for line in lines.split("\n") if line]
    wanted = key(name[:100])
    initial = [n for n in names if n[:1] == wanted[:1]]
    near = nearest(wanted, [*initial, *REGIONS]) or nearest(
        wanted.split(" ")[0] if wanted else "", [*initial, *REGIONS]
    )
    if near is None:
        return None
    found = _lines(near)
    return _full(found[0]) if found else REGIONS[near].full_name


def place(name: str) -> Place:
    """The place that a name or a text of coordinates means; an error with the nearest name otherwise."""
    if _COORDINATES.match(name[:100]):
        point = parse_coordinates(name)
        return Place(point.latitude_deg, point.longitude_deg, point.altitude_m, name.strip())
    found = find(name)
    if found is None:
        near = suggestion(name)
        raise OhmwrightError(
            f"no place named '{name[:60]}' in the list",
            remedy=f"did you mean {near}? Or write coordinates, for instance 46.78 N 92.11 W"
            if near
            else "write coordinates, for instance 46.78 N 92.11 W",
        )
    return found


def _regions_of(fields: list[str]) -> set[str]:
    countries, states, _ = _list()
    _, _, country, state, *_ = fields
    names = {country.casefold(), key(countries.get(country, ""))}
    if country == "GB":
        names |= {"uk", "england", "scotland", "wales"}
    if country == "US":
        names |= {"usa", state.casefold(), key(states.get(state, ""))}
    return names


def _full(fields: list[str]) -> str:
    wanted, shown, country, state, *_ = fields
    return f"{shown or wanted.title()}, {state + ' ' if state else ''}{country}"
