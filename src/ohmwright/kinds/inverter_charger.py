"""An inverter-charger: it inverts, or passes a supply through and charges from it."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, When, Words, WordSpec
from ohmwright.kinds.inverting import FIGURES, bond, legs
from ohmwright.kinds.inverting import WORDS as INVERTING
from ohmwright.kinds.shape import AC, DC, SPLIT, said
from ohmwright.kinds.specs import CHARGER, CHARGER_WORDS, TRISTATE

WORDS = {
    **INVERTING,
    **CHARGER_WORDS,
    "transfer_poles": WordSpec(
        "which poles its transfer opens", ("line", "line+neutral", "unknown"), "unknown"
    ),
    "helps_supply": WordSpec("can the bank help a limited supply", TRISTATE, "unknown"),
    "aux": WordSpec("has it an aux contact", ("yes", "no"), "yes"),
    "hand": WordSpec("positions of its own switch", ("on/off", "on/charger-only/off"), "on/charger-only/off"),
}

PASSING: When = (("", frozenset({"passing"})),)
INVERTS: When = (("", frozenset({"inverting"})),)


def _inside(words: Words) -> Inside:
    split = said(words, WORDS, "split") == "yes"
    poles = SPLIT if split else AC
    lines = tuple(p for p in poles if p not in ("N", "PE"))
    joins, more = bond(words, INVERTS)
    variables = [
        Variable("", ("off", "inverting", "passing"), "automatic", "transfer"),
        Variable("hand", tuple(said(words, WORDS, "hand").split("/")), "hand"),
        *more,
    ]
    inner = [
        Inner("pe", "conductor", "ac-in.PE", "ac-out.PE", "through"),
        Inner("pe-case", "conductor", "ac-out.PE", "case.PE", "through"),
        *(
            Inner(f"transfer-{p}", "switch", f"ac-in.{p}", f"ac-out.{p}", "transfer", when=PASSING)
            for p in lines
        ),
        *_neutral(said(words, WORDS, "transfer_poles"), variables),
        *legs(split),
        *joins,
        Inner(
            "charger",
            "converter",
            f"ac-in.{lines[0]}",
            "ac-in.L2" if split else "ac-in.N",
            "charger",
            when=PASSING,
            out_a="dc.+",
            out_b="dc.-",
        ),
    ]
    ports = [
        Port("dc", DC),
        Port("ac-in", poles, "ac", takes=2),
        Port("ac-out", poles, "ac"),
        Port("case", ("PE",), "case", may_stay_free=True),
    ]
    if said(words, WORDS, "aux") == "yes":
        ports += [
            Port("aux.line", ("",), "signal", may_stay_free=True),
            Port("aux.load", ("",), "signal", may_stay_free=True),
        ]
        inner.append(
            Inner("aux", "switch", "aux.line", "aux.load", "contact", when=(("aux", frozenset({"closed"})),))
        )
        variables.append(Variable("aux", ("open", "closed"), "outside"))
    return Inside(tuple(ports), tuple(inner), tuple(variables))


def _neutral(opens: str, variables: list[Variable]) -> tuple[Inner, ...]:
    if opens == "line":
        return (Inner("transfer-N", "conductor", "ac-in.N", "ac-out.N", "through"),)
    switched = Inner("transfer-N", "switch", "ac-in.N", "ac-out.N", "transfer", when=PASSING)
    if opens == "line+neutral":
        return (switched,)
    variables.append(Variable("transfer-poles", ("open", "closed"), "outside", "unknown"))
    left = Inner(
        "neutral-left",
        "switch",
        "ac-in.N",
        "ac-out.N",
        "through",
        when=(("transfer-poles", frozenset({"closed"})),),
    )
    return (switched, left)


KIND = Kind(
    "inverter-charger",
    "inverter-charger",
    "U",
    {
        **FIGURES,
        **CHARGER,
        "charge_current": FigureSpec("A", "largest charging current", "degC"),
        "charge_efficiency": FigureSpec("1", "DC power out over AC power in while charging", default="88 %"),
        "charge_power_factor": FigureSpec("1", "power factor while charging", default="0.98"),
        "transfer_current": FigureSpec("A", "largest current through its transfer"),
        "transfer_time": FigureSpec("s", "time to change over"),
        "supply_limit_min": FigureSpec("A", "smallest supply limit it can be set to"),
        "supply_limit_max": FigureSpec("A", "largest supply limit it can be set to"),
        "supply_limit_step": FigureSpec("A", "step of the supply limit"),
    },
    _inside,
    WORDS,
)
