"""Which answers are tried for which rule. A rule that is not here is told, and left to people."""

from collections.abc import Callable, Iterable, Iterator, Mapping

from ohmwright.mend import bonds, cables, devices, inserts, parts, relays, wiring
from ohmwright.mend.ask import Ask
from ohmwright.mend.types import Ladder

Proposer = Callable[[Ask], Iterable[Ladder]]

ANSWERS: Mapping[str, tuple[Proposer, ...]] = {
    "mains/bare-pins": (wiring.lead_out,),
    "mains/self-charging": (wiring.lead_out,),
    "charging/direct-on-lithium": (relays.charger_for_relay,),
    "mains/sources-meet": (relays.charger_for_relay, wiring.lead_out),
    "charging/sensing-relay": (relays.charger_for_relay,),
    "mains/neutral-earth": (parts.joined_inverter, bonds.to_metal, bonds.join_behind, bonds.join_too_many),
    "array/bank-back-feed": (parts.controller,),
    "array/cold-voltage": (parts.controller,),
    "array/controller-current": (parts.controller,),
    "array/device-voltage": (devices.of_higher_voltage,),
    "array/breaker": (devices.another, cables.larger),
    "array/string-fuse": (devices.another, inserts.at_source),
    "array/cable": (cables.larger,),
    "array/pwm-match": (parts.controller,),
    "battery/own-fuse": (inserts.of_each_battery,),
    "monitor/shunt": (wiring.behind_the_shunt,),
    "wiring/source-end": (inserts.at_source,),
    "battery/fuse-distance": (inserts.at_source,),
    "battery/interrupt-rating": (devices.breaking_more,),
    "wiring/dc-rating": (devices.of_higher_voltage,),
    "wiring/polarised": (devices.another,),
    "wiring/overload": (cables.larger, inserts.ahead, devices.smaller),
    "wiring/conductor-material": (cables.larger,),
    "wiring/far-fault": (cables.larger, devices.smaller),
    "wiring/frame-return": (wiring.own_return,),
    "wiring/drop": (cables.larger_on_the_way,),
    "wiring/surge-sag": (cables.larger_on_the_way,),
    "wiring/bonding-size": (cables.larger, bonds.of_case),
    "wiring/part-rating": (devices.bearing_more,),
    "wiring/selectivity": (devices.another,),
    "battery/inverter-current": (parts.higher_cut_off, parts.inverter),
    "battery/charge-current": (parts.lower_charge,),
    "mains/shore-budget": (parts.lower_charge,),
}

#: Lesser findings that a larger cable answers: looked after at once where a step brings them about.
BY_CABLE = ("wiring/drop", "wiring/surge-sag")
#: Answered first, in this order: what changes the wiring goes before what is sized for it.
FIRST = (
    "mains/bare-pins", "mains/self-charging", "charging/direct-on-lithium", "mains/sources-meet", "charging/sensing-relay", "mains/neutral-earth",
    "array/bank-back-feed", "array/cold-voltage", "wiring/frame-return", "wiring/conductor-material", "wiring/source-end", "battery/own-fuse",
    "battery/interrupt-rating", "wiring/dc-rating", "battery/fuse-distance", "wiring/overload",
)  # fmt: skip


def answers(ask: Ask) -> Iterator[Iterator[Ladder]]:
    """The ladders of each way to answer the finding, the plainest way first; none is made before it is looked at."""
    for propose in ANSWERS.get(ask.finding.rule, ()):
        yield (ladder for ladder in propose(ask) if ladder.rungs)


def rank(rule: str) -> int:
    """Where a rule's findings come in the order of work."""
    return FIRST.index(rule) if rule in FIRST else len(FIRST)
