"""The quantity grammar: text to figure and back.

    VALUE UNIT [+-TOL] [@ CONDITION] [for SECONDS s] [(ORIGIN)]

    37.1 V (d1 p2)          100 A @ 25 degC          200 A for 10 s (d2 p3)
    2.5 mohm +-20 % (m 2026-05-02 meter3)            20 kA @ 125 V DC (d7)

The other things people write where a figure is wanted: `unknown (asked 2026-04-02)`, `none`.  Seasons and
modes stand behind a slash: `0.49 summer / 0.35 shoulder`.
"""

import re
from decimal import Decimal
from functools import lru_cache

from ohmwright.working import units
from ohmwright.working.figure import Figure, Given, NotThere, Origin, OriginKind, Unknown

_DIGITS = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_NUMBER = rf"[+-]?{_DIGITS}"
_QUANTITY = re.compile(
    rf"^(?P<value>{_NUMBER})\s*(?P<unit>[^\s\d+@(][^\s@(]*)?"
    rf"(?:\s*(?:\+-|±)\s*(?P<tol>{_DIGITS})\s*(?P<tolunit>[^\s@(]+)?)?"
    r"(?:\s*@\s*(?P<condition>[^()]*?))?"
    rf"(?:\s+for\s+(?P<seconds>{_NUMBER})\s*(?P<secunit>ms|s|min|h))?"
    r"(?:\s*\((?P<origin>[^()]*)\))?$"
)
_UNKNOWN = re.compile(r"^unknown(?:\s*\(\s*asked\s+(?P<asked>[0-9]{4}-[0-9]{2}-[0-9]{2})\s*\))?$")
_DATE = re.compile(r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")
_ORDER = "write it in this order: 200 A +-5 % @ 25 degC for 10 s (d2 p3)"
MAX_TEXT = 200

_KIND_OF_TAG: dict[str, OriginKind] = {"m": "measured", "s": "shop", "class": "class", "invented": "invented"}


class QuantityError(ValueError):
    """A text that is no quantity; `remedy` says what to write."""

    def __init__(self, message: str, remedy: str = "") -> None:
        self.message, self.remedy = message, remedy
        super().__init__(message)


@lru_cache(maxsize=4096)
def parse_origin(text: str) -> Origin:
    """The origin that a bracket holds.

    >>> parse_origin("d1 p2").page, parse_origin("m 2026-05-02 meter3").dated, parse_origin("o").kind
    ('p2', '2026-05-02', 'source')
    """
    words = text.split()
    if not words:
        raise QuantityError(
            "empty bracket",
            "write where the figure comes from, for instance (d1 p2), or leave the bracket out",
        )
    tag, rest = words[0], words[1:]
    dated = next((w for w in rest if _DATE.match(w)), "")
    page = next((w for w in rest if re.match(r"^p\S*\d", w)), "")
    by = " ".join(w for w in rest if w not in (dated, page))
    return Origin(_KIND_OF_TAG.get(tag, "source"), "" if tag in _KIND_OF_TAG else tag, page, dated, by)


def _expects(unit: str | None) -> str:
    examples = {"V": "12.8 V", "A": "100 A", "m": "1.2 m", "W": "60 W", "ohm": "2.5 mohm", "degC": "-20 degC", "kg": "21 kg",
                "s": "10 s", "Wh": "500 Wh", "Ah": "200 Ah", "%/K": "-0.27 %/K", "1": "20 %", "Wh/day": "160 Wh/day"}  # fmt: skip
    return f"write a number with its unit, for instance {examples.get(unit or '', '1.2 ' + (unit or 'm'))}"


@lru_cache(maxsize=8192)
def parse(text: str, expect: str | None = None) -> Given:
    """The figure that `text` says, in base units; or what kind of not-knowing it is.

    `expect` is the base unit wanted (None takes any; "1" a plain number or per cent).

    >>> parse("20 kA @ 125 V DC (d7 p1)", "A").value
    20000.0
    >>> parse("2.5 mohm +-20 %", "ohm").high
    0.003
    """
    if len(text) > MAX_TEXT:
        raise QuantityError(f"a quantity of {len(text)} characters", _expects(expect))
    text = text.strip()
    if (m := _UNKNOWN.match(text)) is not None:
        return Unknown(m["asked"] or "")
    if text == "none":
        return NotThere()
    m = _QUANTITY.match(text)
    if m is None:
        if re.search(r"\d,\d", text):
            raise QuantityError(
                f"'{text}' has a comma in its number", "write a decimal point, for instance 12.8 V"
            )
        if re.match(rf"{_NUMBER}[eE][+-]?[0-9]", text):
            raise QuantityError(
                f"'{text}' has an exponent", "write the number out or take a larger unit, for instance 12 kW"
            )
        raise QuantityError(f"'{text}' is no quantity", _expects(expect))
    symbol = (m["unit"] or "").strip()
    base = _base(symbol, text, expect)
    value = units.convert(float(m["value"]), symbol, base) if symbol else float(m["value"])
    low, high = _bounds(m["tol"], m["tolunit"], value, symbol, base, text)
    seconds = None
    if m["seconds"]:
        seconds = units.convert(float(m["seconds"]), m["secunit"], "s")
        if seconds <= 0:
            raise QuantityError(
                f"'{text}' lasts no time", "write for how many seconds, for instance for 10 s"
            )
    origin = parse_origin(m["origin"]) if m["origin"] is not None else Origin("typed")
    return Figure(value, base, low, high, origin, _condition(m["condition"], text), seconds, "", text)


def _condition(written: str | None, text: str) -> str:
    if written is None:
        return ""
    condition = written.strip()
    if not condition or re.search(r"\+-|[±@]|(?:^|\s)for\s", condition):
        raise QuantityError(f"the condition of '{text}' cannot be read", _ORDER)
    return condition


def _base(symbol: str, text: str, expect: str | None) -> str:
    if not symbol:
        if expect in (None, "1"):
            return "1"
        raise QuantityError(f"'{text}' has no unit", _expects(expect))
    found = units.unit(symbol)
    if found is None:
        from ohmwright.working.errors import nearest

        near = nearest(symbol, [*units.UNITS, *units.SPELLINGS])
        raise QuantityError(
            f"'{symbol}' is no unit known here", f"did you mean {near}?" if near else _expects(expect)
        )
    base = units.base_of(symbol)
    if expect is not None and base != expect:
        raise QuantityError(f"'{text}' is a {found.dimension}, wanted is one in {expect}", _expects(expect))
    return base


def _bounds(
    tol: str | None, tolunit: str | None, value: float, symbol: str, base: str, text: str
) -> tuple[float, float]:
    if tol is None:
        return value, value
    t = float(tol)
    relative = tolunit == "%" and symbol != "%"  # 5 % +-1 % is from 4 to 6 %
    if relative and base == "degC":
        raise QuantityError(
            f"'{text}' has a tolerance in per cent of a temperature",
            "write the tolerance in K, for instance +-2 K",
        )
    if relative:
        t = abs(value) * t / 100
    elif tolunit:
        u = units.unit(tolunit)
        if u is None or units.base_of(tolunit) not in (base, "K" if base == "degC" else base):
            raise QuantityError(
                f"the tolerance of '{text}' is in another unit",
                "write +-20 % or a tolerance in the same unit",
            )
        t = t * u.factor
    elif symbol:
        raise QuantityError(
            f"the tolerance of '{text}' has no unit", "write +-20 % or a tolerance in the same unit"
        )
    return value - t, value + t


def parse_by_label(text: str, expect: str | None = None) -> dict[str, Given]:
    """Figures by season or mode; the empty label is the figure for all of them.

    >>> sorted(parse_by_label("0.49 summer / 0.35 shoulder", "1"))
    ['shoulder', 'summer']
    """
    out: dict[str, Given] = {}
    for piece in text.split(" / "):
        words = piece.strip().rsplit(" ", 1)
        last = words[-1]
        labelled = (
            len(words) == 2
            and re.fullmatch(r"[a-z][a-z-]+", last)
            and units.unit(last) is None
            and last not in ("none", "unknown")
        )
        body, label = (words[0], last) if labelled else (piece.strip(), "")
        if label in out:
            raise QuantityError(
                f"'{label or 'the figure'}' stands twice in '{text}'", "write each season or mode once"
            )
        out[label] = parse(body, expect)
    return out


def parse_lengths(text: str, count: int) -> tuple[float, ...]:
    """Several lengths with one unit: a position `0.4 0 2.9 m` or a size `0.9 x 0.5 x 0.6 m`, in metres.

    >>> parse_lengths("0.9 x 0.5 x 600 mm", 3)[2]
    0.6
    """
    text = re.sub(r"\s*\([^()]*\)\s*$", "", text.strip())
    pieces = re.split(r"\s*x\s*|\s+", text)
    if len(pieces) != count + 1 or not all(re.fullmatch(_NUMBER, p) for p in pieces[:-1]):
        raise QuantityError(
            f"'{text}' is not {count} lengths",
            f"write {count} numbers and one unit, for instance {' x '.join(['0.5'] * count)} m",
        )
    u = units.unit(pieces[-1])
    if u is None or u.dimension != "length":
        raise QuantityError(f"'{pieces[-1]}' is no length unit", "write m, mm, in or ft")
    return tuple(float(p) * u.factor for p in pieces[:-1])


def number(value: float) -> str:
    """A number as a work sheet prints it: enough digits to compute with, no noise.

    >>> number(37.1), number(-0.27), number(0.0025), number(1e-9)
    ('37.1', '-0.27', '0.0025', '1e-09')
    """
    return f"{value:.10g}"


#: Stands between groups of three digits: narrow, and no line breaks at it.
GROUP = "\u202f"


def grouped(value: float | Decimal, decimals: int = 0) -> str:
    """A figure as every drawing, paper, page and sentence prints it: from five digits on in groups of three, four stay together.

    A comma would be a decimal sign in half of the world.  So writes SI (NIST SP 811, 2008, 10.5.3, from memory).

    >>> grouped(2200), grouped(16097), grouped(-1234567.891, 2)
    ('2200', '16\\u202f097', '-1\\u202f234\\u202f567.89')
    """
    told = f"{value:,.{decimals}f}"
    return told.replace(",", GROUP if len(told.split(".")[0].lstrip("-")) > len("9,999") else "")


def tell(value: float, unit: str, digits: int = 3) -> str:
    """A value for people: `digits` significant figures with a fitting multiple of its unit.

    >>> tell(0.0025, "ohm"), tell(26790, "A"), tell(129.03, "V", 4)
    ('2.5 mΩ', '26.8 kA', '129 V')
    """
    if unit == "1":
        return f"{value:.{digits}g}"
    symbol, factor = unit, 1.0
    if unit in _MULTIPLES:
        small, large, threshold = _MULTIPLES[unit]
        symbol = large if abs(value) >= threshold else small
        factor = units.UNITS[symbol].factor
    shown = f"{value / factor:.{digits}g}"
    if "e" in shown:
        shown = f"{Decimal(shown):f}"
    return f"{shown} {_symbol(symbol)}"


#: By unit the smaller and the larger multiple in which it is told, and from which value on the larger.
_MULTIPLES = {
    "ohm": ("mohm", "ohm", 1.0),
    "A": ("A", "kA", 1e4),
    "W": ("W", "kW", 1e4),
    "Wh": ("Wh", "kWh", 1e4),
}


@lru_cache(maxsize=256)
def _symbol(symbol: str) -> str:
    return symbol.replace("mohm", "mΩ").replace("ohm", "Ω").replace("degC", "°C")
