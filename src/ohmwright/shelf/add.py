"""A new part from its data sheet: every figure with the page it stands on and the condition its rating holds under."""

from collections.abc import Mapping

from ohmwright import kinds
from ohmwright.kinds.base import COMMON_FIGURES, COMMON_WORDS, FigureSpec, Kind
from ohmwright.shelf.entry import check_id, read_price
from ohmwright.shelf.freeze import quoted
from ohmwright.shelf.load import FORMAT, VERSION_KEY
from ohmwright.working import NOWHERE, Figure, OhmwrightError, Position, QuantityError, nearest, parse
from ohmwright.working import tree as t

TAG = "d1"
_EXAMPLES = {
    "degC": "@ 40 degC",
    "V": "@ 32 V DC",
    "s": "for 10 s",
    "rpm": "@ 6000 rpm",
    "kn": "@ 6 kn",
    "%": "@ 80 %",
}


def new_record_text(
    part: str, kind: str, sheet: str, dated: str, figures: Mapping[str, str], words: Mapping[str, str]
) -> tuple[str, list[str]]:
    """The text of a shelf file with this one part, and the figures of its kind that are still missing.

    `sheet` is the title of the data sheet and `dated` its date; every figure ends with its page: `80 A @ 25
    degC (p1)`.  Beside words of the kind, `title` and `price` may stand among the words.
    """
    check_id(t.Scalar(part, NOWHERE))
    found = kinds.find(kind)
    if found is None:
        near = nearest(kind, kinds.names())
        raise OhmwrightError(
            f"'{kind}' is no kind",
            remedy=f"did you mean {near}?" if near else f"write one of: {', '.join(kinds.names())}",
        )
    if not sheet.strip():
        raise OhmwrightError("the data sheet has no title", remedy="write what is printed on it")
    lines = [
        f"    {hyphened(name)}: {quoted(figure_text(found, name, text))}" for name, text in figures.items()
    ]
    told = {name: _word(found, name, text) for name, text in words.items() if name not in ("title", "price")}
    lines += [f"    {hyphened(name)}: {quoted(text)}" for name, text in told.items()]
    if "price" in words:
        read_price(t.Scalar(words["price"], NOWHERE), "")
        lines.append(f"    price: {quoted(words['price'])}")
    missing = missing_figures(found, figures)
    return "\n".join(
        [
            f"{VERSION_KEY}: {FORMAT}",
            f"sources: {{{TAG}: {{title: {quoted(sheet.strip())}, dated: {quoted(dated.strip())}}}}}",
            "parts:",
            f"  {part}:",
            f"    kind: {found.name}",
            f"    title: {quoted(words.get('title', part))}",
            *lines,
            *([f"    # not on file yet: {', '.join(missing)}"] if missing else []),
            "",
        ]
    ), missing


def hyphened(name: str) -> str:
    """A name as it stands in files."""
    return name.replace("_", "-")


def missing_figures(kind: Kind, figures: Mapping[str, object]) -> list[str]:
    """The figures of the kind that are not among these, as they are written."""
    have = {name.replace("-", "_") for name in figures}
    return [hyphened(name) for name in kind.figures if name not in have]


def condition_stated(figure: Figure, spec: FigureSpec) -> bool:
    """Whether a rating states the condition that its kind asks for."""
    if not spec.condition:
        return True
    if spec.condition == "s":
        return figure.seconds is not None
    if spec.condition == "%":
        return "%" in figure.condition
    return figure.condition_value(spec.condition) is not None


def figure_text(kind: Kind, name: str, text: str) -> str:
    """A figure as the file writes it behind the tag `d1`; refused without its page, or a rating without its condition."""
    key = name.replace("-", "_")
    spec = kind.figures.get(key) or COMMON_FIGURES.get(key)
    if spec is None:
        names = [hyphened(n) for n in (*kind.figures, *COMMON_FIGURES)]
        near = nearest(hyphened(key), names)
        raise OhmwrightError(
            f"'{name}' is no figure of a {kind.title}",
            remedy=f"did you mean {near}?" if near else f"write one of: {', '.join(names)}",
        )
    try:
        given = parse(text, spec.unit)
    except QuantityError as error:
        raise OhmwrightError(f"{name}: {error.message}", remedy=error.remedy) from None
    if not isinstance(given, Figure):
        return text.strip()
    if why := spec.refused(key, given.value):
        raise OhmwrightError(f"{name}: '{text}' {why[0]}", remedy=why[1])
    origin = given.origin
    page = origin.page or (
        origin.tag if origin.tag[:1] == "p" and origin.tag[1:].isalnum() and origin.tag[1:2].isdigit() else ""
    )
    if origin.kind != "source" or not page:
        raise OhmwrightError(
            f"{name}: '{text}' does not say its page",
            remedy=f"write the page of the data sheet behind it: {text.split(' (')[0]} (p2)",
        )
    if not condition_stated(given, spec):
        raise OhmwrightError(
            f"{name}: '{text}' is a rating without its condition",
            remedy=f"write what it holds under, for instance {text.split(' (')[0]} {_EXAMPLES[spec.condition]} ({page})",
        )
    return f"{text.rsplit(' (', 1)[0].strip()} ({TAG} {page})"


def _word(kind: Kind, name: str, text: str) -> str:
    key = name.replace("-", "_")
    spec = kind.words.get(key) or COMMON_WORDS.get(key)
    if spec is None:
        names = [hyphened(n) for n in (*kind.words, *COMMON_WORDS, "title", "price")]
        near = nearest(hyphened(key), names)
        raise OhmwrightError(
            f"'{name}' is no word of a {kind.title}",
            remedy=f"did you mean {near}?" if near else f"write one of: {', '.join(names)}",
        )
    if spec.allowed and text.strip() not in spec.allowed:
        raise OhmwrightError(
            f"{name}: '{text}' is none of its words", remedy=f"write {' or '.join(spec.allowed)}"
        )
    return text.strip()


def extended(existing: str, addition: str, file: str) -> str:
    """A shop's file with the part of `addition` behind its own; a page tag that is taken gets the next number."""
    new = t.read_tree(addition, file)
    old = t.read_tree(existing, file)
    assert isinstance(new, t.Mapping)
    parts = new.entries["parts"].value
    assert isinstance(parts, t.Mapping)
    if not isinstance(old, t.Mapping) or not isinstance(old.get("parts"), t.Mapping):
        raise OhmwrightError(f"{file} has no parts:", remedy="write the new part into a file of its own")
    theirs = old.entries["parts"].value
    sources = old.get("sources")
    assert isinstance(theirs, t.Mapping)
    name, entry = next(iter(parts.entries.items()))
    if name in theirs:
        raise OhmwrightError(
            f"{file} has '{name}' already", remedy="change it there, or give the part another id"
        )
    taken = set(sources) if isinstance(sources, t.Mapping) else set()
    tag = TAG if not taken else next(f"d{n}" for n in range(1, 1000) if f"d{n}" not in taken)
    body = addition[_line_start(addition, entry.key.at) :].replace(f"({TAG} ", f"({tag} ").rstrip("\n") + "\n"
    said = (
        addition[new.entries["sources"].value.at.offset + 1 :]
        .split("\n", 1)[0]
        .rstrip("}")
        .replace(f"{TAG}:", f"{tag}:", 1)
        + "}"
    )
    text = existing
    last = list(theirs.entries.values())[-1].value.at.end
    end = len(text[:last].rstrip())
    text = text[:end] + "\n" + body + text[end:].lstrip("\n")
    if isinstance(sources, t.Mapping):
        at = sources.at.offset
        block = text[at] != "{"
        head = f"{said}\n  " if block else "{" + said + ", "
        return text[:at] + head + text[at + (0 if block else 1) :]
    start = _line_start(text, old.entries["parts"].key.at)
    return text[:start] + f"sources: {{{said}}}\n" + text[start:]


def _line_start(text: str, at: Position) -> int:
    return text.rfind("\n", 0, at.offset) + 1
