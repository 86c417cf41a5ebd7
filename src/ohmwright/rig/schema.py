"""The JSON Schema of a rig file, made from the same shape that the reader reads by."""

from functools import cache

from ohmwright import kinds
from ohmwright.kinds.base import COMMON_FIGURES, COMMON_WORDS
from ohmwright.rig import shape
from ohmwright.rig.quantities import Schema, quantity_schema

DRAFT = "https://json-schema.org/draft/2020-12/schema"


@cache
def _part_schema() -> Schema:
    properties: Schema = {name: form.schema() for name, form in shape.PART.items()}
    figures: dict[str, set[str]] = {}
    meanings: dict[str, str] = {}
    words: dict[str, set[str]] = {}
    for name in kinds.names():
        kind = kinds.find(name)
        if kind is None:
            continue
        for figure, spec in {**COMMON_FIGURES, **kind.figures}.items():
            figures.setdefault(figure, set()).add(spec.unit)
            meanings.setdefault(figure, spec.meaning)
        for word, word_spec in {**COMMON_WORDS, **kind.words}.items():
            words.setdefault(word, set()).update(word_spec.allowed)
            meanings.setdefault(word, word_spec.meaning)
    for name in sorted({*figures, *words}):
        key = name.replace("_", "-")
        if key in shape.PART:
            continue
        ways: list[Schema] = []
        if name in figures:
            ways.append(quantity_schema(*sorted(figures[name])))
        if name in words:
            ways.append({"type": ["string", "boolean"]})
        properties[key] = {**(ways[0] if len(ways) == 1 else {"anyOf": ways}), "description": meanings[name]}
    for other, figure in shape.SAME_FIGURE.items():
        properties.setdefault(other.replace("_", "-"), properties[figure.replace("_", "-")])
    return {"type": "object", "properties": properties, "required": ["is"], "additionalProperties": False}


def json_schema() -> Schema:
    """Draft 2020-12. A quantity is a string with a pattern; its base unit stands in `unit`."""
    out = shape.FILE.schema()
    out["properties"]["parts"]["additionalProperties"] = _part_schema()
    out["properties"]["ohmwright"] = {"const": shape.VERSION, "description": "version of the file's shape"}
    out["properties"]["host"]["properties"]["masses"] = {
        "type": "object",
        "properties": {
            **{k: quantity_schema(*u) for k, u in shape.MASSES.items()},
            "sold-before": {"type": "string"},
        },
        "additionalProperties": False,
    }
    return {"$schema": DRAFT, "title": "ohmwright rig file", **out}
