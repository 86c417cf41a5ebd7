"""Sentences of lower floors in another language: a text is matched to its template, its values carried over.

Values may hold sentences of their own, which are turned in the same way.  What matches nothing stays as it is: names,
numbers, and words of the file.
"""

import re
import string
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import lru_cache
from typing import Any, TypeVar

from ohmwright.drawing.shapes import Sheet
from ohmwright.drawing.shapes import Text as Lettering
from ohmwright.papers.catalogue import Words, words
from ohmwright.rig.model import Rig
from ohmwright.rig.splice import tree_of
from ohmwright.working import tree as t

#: Longer texts hold a name that nobody wrote by hand; they are turned by their sentences alone.
MOST_LETTERS = 1500
DEEPEST = 6
#: What rules how a block looks, and formulas: no text to be read in a language.
FIXED = frozenset(
    {
        "sort",
        "style",
        "how",
        "size",
        "number",
        "formula",
        "substituted",
        "symbol",
        "value",
        "unit",
        "unknown",
        "svg",
    }
)
#: So many templates are tried for a text, those with most letters of their own first.
MOST_TRIED = 8
#: A text of more pieces is taken apart at all joints alike, not at each in turn.
MOST_JOINTS = 16
_WORD = re.compile(r"[A-Za-z]{2,}")
_WORDS = re.compile(r"[a-z]{2,}")
#: Signs before and behind a text that its template may lack.
_ENDS = re.compile(r"([\s,;:]*)(.*?)([\s.,;:!?]*)", re.DOTALL)
#: A number and its unit are not taken apart: a sign of their own stands between them while a text is matched.
TIE = "\x1f"
_MEASURE = re.compile(
    r"(\d) (%|°C|degC|mm2|mm²|mm|m|kg|mV|V|mA|kA|A|Ah|W|kW|Wh|kWh|VA|Hz|s|h|ms|min|K|L|N·m|J|AWG|kN|N|Ω|mΩ|days?|nights?|years?)(?![\w/])"
)
#: Where a text may be taken apart, the wider joint first.
_JOINTS = (
    re.compile(r"((?<=[.!?])\s+)"),
    re.compile(r"(: )"),
    re.compile(r"(;\s+)"),
    re.compile(r"( · )"),
    re.compile(r"(,\s+)"),
    re.compile(r"( ?\(|\))"),
    re.compile(r"( and | or )"),
)
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Template:
    """A template and what answers it."""

    fits: re.Pattern[str]
    pieces: tuple[str, ...]
    letters: int
    answer: str
    numbers: tuple[int, ...]


class Phrases:
    """The sentences of one language. `own` are names of the rig, which no language turns."""

    def __init__(self, sentences: Mapping[str, str], own: frozenset[str] = frozenset()) -> None:
        self._exact: dict[str, str] = {}
        self._by_word: dict[str, list[Template]] = {}
        self._own = own
        self._known: dict[str, tuple[int, str]] = {}
        for template, answer in sentences.items():
            self._enter(template, answer)

    def said(self, text: str) -> str:
        """The text in this language."""
        return self._turned(_MEASURE.sub(rf"\1{TIE}\2", text), 0)[1].replace(TIE, " ")

    def _enter(self, template: str, answer: str) -> None:
        template, answer = _cores(template.strip(), answer.strip())
        parsed = [(piece, name) for piece, name, _, _ in string.Formatter().parse(template)]
        pieces = tuple(piece for piece, _ in parsed)
        numbers = tuple(int(name) for _, name in parsed if name is not None)
        if not numbers:
            self._exact["".join(pieces)] = answer.format()
            return
        fits = re.compile(
            "".join(_literal(p) + ("(.*?)" if name is not None else "") for p, name in parsed), re.DOTALL
        )
        letters = sum(len(w) for p in pieces for w in _WORD.findall(p))
        rarest = max((w for p in pieces for w in _WORD.findall(p)), key=len, default="")
        if rarest:
            made = Template(fits, tuple(p for p in pieces if p.strip()), letters, answer, numbers)
            self._by_word.setdefault(rarest, []).append(made)

    def _turned(self, text: str, depth: int) -> tuple[int, str]:
        """How many letters stay English, and the text."""
        bare = text.strip()
        if not _WORDS.search(bare) or bare.replace(TIE, " ") in self._own:
            return 0, text
        found = self._known.get(bare)
        if found is None:
            found = self._best(bare, depth)
            if depth < DEEPEST:
                self._known[bare] = found
        cost, told = found
        lead = len(text) - len(text.lstrip())
        return cost, text[:lead] + told + text[lead + len(bare) :]

    def _best(self, bare: str, depth: int) -> tuple[int, str]:
        ends = _ENDS.fullmatch(bare)
        assert ends
        for before, middle, behind in (("", bare, ""), ends.groups()):
            exact = self._exact.get(middle.replace(TIE, " "))
            if exact is not None:
                return 0, f"{before}{exact}{behind}"
        best = (sum(len(w) for w in _WORDS.findall(bare)), bare)
        if depth >= DEEPEST:
            return best
        if len(bare) <= MOST_LETTERS:
            for template in self._candidates(bare):
                told = self._filled(template, bare, depth)
                if told is not None and told[0] < best[0]:
                    best = told
                if best[0] == 0:
                    return best
        if ends[2] != bare:
            cost, turned = self._turned(ends[2], depth + 1)
            if cost < best[0]:
                best = (cost, f"{ends[1]}{turned}{ends[3]}")
            if best[0] == 0:
                return best
        small = bare[0].lower() + bare[1:]
        if small != bare and (depth == 0 or bare[1:2].islower()):
            cost, turned = self._best(small, depth + 1)
            if cost < best[0]:
                best = (cost, turned[:1].upper() + turned[1:])
        if best[0] > 0 and len(bare) <= MOST_LETTERS:
            best = min(best, *self._begun(bare, depth), key=lambda found: found[0])
        for joint in _JOINTS:
            if best[0] == 0:
                break
            best = min(best, self._joined(joint, bare, depth), key=lambda found: found[0])
        return best

    def _begun(self, bare: str, depth: int) -> list[tuple[int, str]]:
        """The text as a known phrase with something behind it: two texts put together without a joint."""
        spaces = [i for i, c in enumerate(bare) if c == " "][1:MOST_JOINTS]
        found = [(len(bare), bare)]
        for i in reversed(spaces):
            exact = self._exact.get(bare[:i].replace(TIE, " "))
            if exact is not None:
                cost, rest = self._turned(bare[i:], depth + 1)
                found.append((cost, exact + rest))
        return found

    def _joined(self, joint: re.Pattern[str], bare: str, depth: int) -> tuple[int, str]:
        """The text taken apart at a joint: at all places at once, or at one."""
        parts = joint.split(bare)
        if len(parts) == 1:
            return len(bare), bare
        best = (len(bare), bare)
        cuts = range(1, len(parts), 2) if 3 < len(parts) < MOST_JOINTS else ()
        twos = (["".join(parts[:n]), parts[n], "".join(parts[n + 1 :])] for n in cuts)
        for pieces in (parts, *twos):
            found = [self._turned(p, depth + 1) for p in pieces]
            cost = sum(c for c, _ in found)
            if cost < best[0]:
                best = (cost, "".join(t for _, t in found))
        return best

    def _candidates(self, bare: str) -> list[Template]:
        """Templates whose rarest word and whose every piece the text holds, most letters first."""
        words, loose = set(_WORD.findall(bare)), bare.replace(TIE, " ")
        found = [
            made
            for word in words
            for made in self._by_word.get(word, ())
            if all(p in loose for p in made.pieces)
        ]
        return sorted(found, key=lambda made: -made.letters)[:MOST_TRIED]

    def _filled(self, template: Template, bare: str, depth: int) -> tuple[int, str] | None:
        match = template.fits.fullmatch(bare)
        if match is None:
            return None
        turned = [self._turned(value, depth + 1) for value in match.groups()]
        values = dict(zip(template.numbers, (t for _, t in turned), strict=True))
        return sum(c for c, _ in turned), template.answer.format(
            *(values.get(n, "") for n in range(1 + max(values)))
        )


def _cores(template: str, answer: str) -> tuple[str, str]:
    """Both without the signs around them where these are the same: a sentence is put together with other ends."""
    bare, told = _ENDS.fullmatch(template), _ENDS.fullmatch(answer)
    if bare is not None and told is not None and bare[2] and bare[1] == told[1] and bare[3] == told[3]:
        return bare[2], told[2]
    return template, answer


def _literal(piece: str) -> str:
    """A piece of a template; its spaces may be ties."""
    return re.escape(piece).replace("\\ ", f"[ {TIE}]")


def told_in(value: T, turn: Callable[[str], str]) -> T:
    """The same tree of blocks with every text turned. A derivation stays as it was worked out."""
    out: Any = value
    if isinstance(value, str):
        out = turn(value)
    elif isinstance(value, tuple):
        new = tuple(told_in(v, turn) for v in value)
        if any(n is not v for n, v in zip(new, value, strict=True)):
            out = new
    elif is_dataclass(value) and not isinstance(value, type):
        names = [f.name for f in fields(value) if f.name not in FIXED]
        changed = {n: t for n in names if (t := told_in(v := getattr(value, n), turn)) is not v}
        if changed:
            out = replace(value, **changed)
    return out  # type: ignore[no-any-return]


def names_in(rig: Rig) -> frozenset[str]:
    """Names and remarks that stand in a rig file, and titles of its parts: they are the same in every language."""
    return _said_in(rig.text) | frozenset(_names(rig))


@lru_cache(maxsize=8)
def _said_in(text: str) -> frozenset[str]:
    """Every text of the file."""
    return frozenset(_texts(tree_of(text, "")))


def _texts(tree: t.Tree | None) -> Iterator[str]:
    if isinstance(tree, t.Scalar):
        yield tree.text.strip()
    elif isinstance(tree, t.Sequence):
        for item in tree.items:
            yield from _texts(item)
    elif isinstance(tree, t.Mapping):
        for key in tree:
            yield from _texts(tree.get(key))


def _names(rig: Rig) -> Iterator[str]:
    yield from rig.parts
    yield from (p.record.title for p in rig.parts.values())
    yield from rig.runs
    yield from rig.host.places
    yield from rig.host.ways
    yield from rig.use.loads
    yield from rig.cuts
    yield from rig.metal
    yield from (p.name for p in rig.use.promises)


@lru_cache(maxsize=8)
def phrases_of(language: str, own: frozenset[str]) -> Phrases:
    """The phrases of a language for a rig."""
    told, english = words(language), words()
    tags = {english.texts[k]: v for k, v in told.texts.items() if k.startswith("tag.")}
    return Phrases({**told.sentences, **tags}, own)


def told_sheet(sheet: Sheet, told: Words, rig: Rig) -> Sheet:
    """A drawing with its title, description and lettering in a language, where the lettering was not turned as it was drawn."""
    if not told.sentences:
        return sheet
    phrases = phrases_of(told.language, names_in(rig))
    groups = tuple(
        replace(
            g,
            shapes=tuple(
                replace(s, text=phrases.said(s.text)) if isinstance(s, Lettering) else s for s in g.shapes
            ),
        )
        for g in sheet.groups
    )
    return replace(
        sheet, groups=groups, title=phrases.said(sheet.title), description=phrases.said(sheet.description)
    )
