"""The exported schema says what the reader says; the reference page is the shape's."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from ohmwright.rig.model import Rig
from ohmwright.rig.reference import reference
from ohmwright.rig.schema import json_schema
from ohmwright.working import FileError

Read = Callable[[str], Rig]
SCHEMA = json_schema()
TYPES: dict[str, type] = {
    "string": str,
    "object": dict,
    "array": list,
    "integer": int,
    "number": float,
    "boolean": bool,
}


def wrong(value: Any, schema: dict[str, Any], path: str = "") -> Iterator[str]:
    """The part of JSON Schema 2020-12 that the schema uses, evaluated as its specification words it."""
    known = {
        "$schema",
        "title",
        "description",
        "unit",
        "examples",
        "type",
        "properties",
        "additionalProperties",
        "required",
    }
    assert set(schema) <= known | {"enum", "const", "pattern", "anyOf", "items", "minimum", "maximum"}, (
        set(schema) - known
    )
    wanted = schema.get("type", [])
    if wanted and not isinstance(
        value, tuple(TYPES[w] for w in ([wanted] if isinstance(wanted, str) else wanted))
    ):
        yield f"{path}: {value!r} is no {wanted}"
        return
    if "enum" in schema and value not in schema["enum"]:
        yield f"{path}: {value!r} not in {schema['enum']}"
    if "const" in schema and str(value) != str(schema["const"]):
        yield f"{path}: {value!r}"
    if "pattern" in schema and isinstance(value, str) and not re.search(schema["pattern"], value):
        yield f"{path}: {value!r} does not match"
    if "anyOf" in schema and all(list(wrong(value, s, path)) for s in schema["anyOf"]):
        yield f"{path}: {value!r} is none of them"
    if isinstance(value, list) and "items" in schema:
        for n, item in enumerate(value):
            yield from wrong(item, schema["items"], f"{path}.{n}")
    if isinstance(value, dict):
        for name in schema.get("required", []):
            if name not in value:
                yield f"{path}: no {name}"
        for key, item in value.items():
            inner = schema.get("properties", {}).get(key, schema.get("additionalProperties", {}))
            if inner is False:
                yield f"{path}.{key}: not known"
            elif isinstance(inner, dict):
                yield from wrong(item, inner, f"{path}.{key}")


def plain(text: str) -> Any:
    """The text as an editor sees it that checks schemas: YAML, every scalar a string."""
    return yaml.load(text, Loader=yaml.BaseLoader)


@pytest.mark.parametrize("name", ["trailer", "boat", "cabin", "van", "split-phase"])
def test_what_the_reader_takes_the_schema_takes(name: str, texts: dict[str, str]) -> None:
    assert list(wrong(plain(texts[name]), SCHEMA)) == []


@pytest.mark.parametrize(
    ("there", "instead"),
    [
        ("length: 0.17 m", "lenght: 0.17 m"),
        ("length: 0.17 m", "length: 0.17"),
        ("length: 0.17 m", "length: 0.17 kg"),
        ("as: chain", "as: chians"),
        ("units: metric", "units: imperial"),
        ("gvwr: 3450 kg", "gvwr: 3450 m"),
        ("dated: 2026-03-02}", "dated: yesterday}"),
        ("cases:", "interlocks: []\ncases:"),
        ("nights: 60", "nights: many"),
        ("  B:    {is: battery-lfp-200ah-12v, ", "  B:    {"),
    ],
)
def test_what_the_schema_refuses_the_reader_refuses(
    there: str, instead: str, texts: dict[str, str], read: Read
) -> None:
    assert there in texts["trailer"]
    text = texts["trailer"].replace(there, instead, 1)

    assert list(wrong(plain(text), SCHEMA))
    with pytest.raises(FileError):
        read(text)


def test_quantities_carry_their_unit() -> None:
    length = SCHEMA["properties"]["runs"]["additionalProperties"]["properties"]["length"]

    assert length["unit"] == "m"
    assert re.search(length["pattern"], "0.17 m (m 2026-05-02)")
    assert re.search(length["pattern"], "unknown (asked 2026-03-14)")
    assert not re.search(length["pattern"], "0.17")
    resistance = SCHEMA["properties"]["parts"]["additionalProperties"]["properties"]["resistance"]
    assert re.search(resistance["pattern"], "2.5 mohm +-20 %")


def test_the_reference_page_is_the_shape_of_today() -> None:
    page = Path(__file__).parents[2] / "docs" / "rig-file.md"

    assert page.read_text(encoding="utf-8") == reference(), (
        "write it again: python -m ohmwright.rig.reference > docs/rig-file.md"
    )
