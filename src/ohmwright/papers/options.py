"""Options beside the quoted rig, as a bid tabulation: rows are the owner's questions, columns the options.

Each option is a rig of its own, checked and with its own year; nothing is told of one that was not worked out for it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations

from ohmwright.checks.place.weight import laden_of
from ohmwright.papers.doc import Bids, Block, Heading, Text
from ohmwright.papers.figures import banks, stored_kWh
from ohmwright.papers.labour import Costing
from ohmwright.papers.loads import ac_loads, carried_power, lasting_power
from ohmwright.papers.material import Material
from ohmwright.working import grouped, known, tell

#: Beside the quoted one: three columns are what a page holds and a customer can weigh.
MOST_OPTIONS = 2
LETTERS = "ABC"
MOST_PAIRS = 3
MOST_PROMISES = 5
MOST_LETTERS = 90


@dataclass(frozen=True, slots=True)
class Bid:
    """One column: a rig with what it costs."""

    m: Material
    cost: Costing


def tabulation(bids: tuple[Bid, ...]) -> Iterator[Block]:
    """The table, with what differs from the first column underlined."""
    m = bids[0].m
    w = m.words
    yield Heading(w.say("bids.options"))
    yield Text(w.say("bids.what-this-is"), "note")
    rows = [
        (_short(w.say("bids.promise", name=p)), tuple(_kept(b.m, p) for b in bids)) for p in _promises(bids)
    ]
    rows += [(question, tuple(answer(b) for b in bids)) for question, answer in _questions(m)]
    told = tuple(
        (question, tuple((_short(a), a != answers[0]) for a in answers)) for question, answers in rows
    )
    heads = tuple(
        f"{letter}  {b.m.stage or b.m.words.say('head.no-stage')}"
        for letter, b in zip(LETTERS, bids, strict=False)
    )
    yield Bids((w.say("bids.question"), *heads), told)
    yield Text(
        w.say(
            "bids.files",
            files="; ".join(f"{x}: {_file(b.m)}" for x, b in zip(LETTERS, bids, strict=False)),
        ),
        "small",
    )


def _file(m: Material) -> str:
    letter = f"@{m.revision} " if m.revision else ""
    return f"{letter}{m.rig.file.rpartition('/')[2]} {m.rig.sha256[:12]}"


def _first(text: str) -> str:
    """The first clauses of a sentence, as many as a cell holds: it ends where one of them does."""
    told, *rest = text.partition(";")[0].split(", ")
    for clause in rest:
        if len(told) + len(clause) + 2 > MOST_LETTERS - 10:
            break
        told = f"{told}, {clause}"
    return told


def _short(text: str) -> str:
    return text if len(text) <= MOST_LETTERS else text[: MOST_LETTERS - 1].rstrip() + "…"


def _questions(m: Material) -> Iterator[tuple[str, Callable[[Bid], str]]]:
    """What an owner asks, in his order; each with what answers it for one option."""
    w = m.words
    yield w.say("bids.nights"), lambda b: _nights(b.m)
    yield w.say("bids.outside"), lambda b: _outside(b.m)
    yield w.say("bids.winter"), lambda b: _winter(b.m)
    yield w.say("bids.together"), lambda b: _together(b.m)
    if m.rig.host.kind not in ("boat", "cabin"):
        yield w.say("bids.weight"), lambda b: _weight(b.m)
    yield w.say("bids.price", currency=m.rig.job.currency), _price
    yield w.say("bids.days"), _days
    yield w.say("bids.what"), lambda b: _what(b.m)
    yield w.say("bids.against"), lambda b: _against(b.m)


def _what(m: Material) -> str:
    w = m.words
    watts = [known(p.figure("power")) for p in m.rig.of_kind("module")]
    stored = [stored_kWh(m.rig, b) for b in banks(m.rig)]
    inverters = [lasting_power(p) for p in (*m.rig.of_kind("inverter-charger"), *m.rig.of_kind("inverter"))]
    return w.say(
        "bids.sizes",
        array=f"{sum(f.value for f in watts if f):.0f} W" if all(watts) else "?",
        bank=f"{sum(map(float, stored)):.1f} kWh" if all(stored) else "?",
        inverter=", ".join(tell(f.value, "W", 3) if f else "?" for f in inverters) or w.say("label.nothing"),
    )


def _against(m: Material) -> str:
    """Dangers first: an option that has one is no option before it is mended."""
    w = m.words
    dangers = sum(f.verdict == "fail" and f.severity == "danger" for f in m.findings)
    untold = sum(f.verdict == "cannot-tell" and f.severity == "danger" for f in m.findings)
    fails = sum(f.verdict == "fail" and f.severity == "fails" for f in m.findings)
    if dangers:
        return w.say("bids.dangers", n=dangers, fails=fails, untold=untold)
    return w.say("bids.no-dangers", fails=fails, untold=untold)


def _kept(m: Material, promise: str) -> str:
    w = m.words
    if m.year is None:
        return w.say("bids.untold")
    found = next((p for p in m.year.promises if p.name == promise), None)
    if found is None:
        return w.say("bids.not-promised")
    key = {True: "bids.kept", False: "bids.not-kept", None: "bids.open"}[found.kept]
    return w.say(key, got=_first(m.said(found.got.rstrip("."))))


def _promises(bids: tuple[Bid, ...]) -> list[str]:
    names = dict.fromkeys(p.name for b in bids if b.m.year for p in b.m.year.promises)
    return list(names)[:MOST_PROMISES]


def _nights(m: Material) -> str:
    w = m.words
    lost = m.year.nights_lost if m.year else {}
    usual, tenth = lost.get("p50"), lost.get("p90")
    if usual is None or tenth is None:
        return w.say("bids.untold")
    return w.say("bids.nights-lost", usual=f"{usual:.0f}", tenth=f"{tenth:.0f}")


def _outside(m: Material) -> str:
    """The stay that asks most from outside."""
    w = m.words
    if m.year is None:
        return w.say("bids.untold")
    worst = max(m.year.stays, key=lambda s: s.unserved_kWh, default=None)
    if worst is None or not worst.short_days:
        return w.say("bids.nothing-outside")
    each_Wh = 10.0 * round(100.0 * worst.unserved_kWh / worst.short_days)
    return w.say("bids.from-outside", Wh=grouped(each_Wh), days=worst.short_days, stay=worst.name)


def _winter(m: Material) -> str:
    w = m.words
    stored = m.year.storage if m.year else ()
    if not stored:
        return w.say("bids.not-laid-up")
    s = min(stored, key=lambda s: s.days_to_floor[1])
    key = "bids.lasts" if s.lasts_the_stay else "bids.act-before"
    return w.say(key, days=f"{s.days_to_floor[1]:.0f}", act=s.act_before)


def _together(m: Material) -> str:
    w = m.words
    powers = [carried_power(m, p) for p in (*m.rig.of_kind("inverter-charger"), *m.rig.of_kind("inverter"))]
    if not powers:
        return w.say("bids.no-ac")
    most = powers[0]
    if most is None:
        return w.say("bids.untold")
    loads = sorted(ac_loads(m), key=lambda x: -x[1])
    pairs = [
        f"{a.id} + {b.id}"
        for (a, wa), (b, wb) in combinations(loads, 2)
        if wa <= most.value and wb <= most.value < wa + wb
    ]
    if not pairs:
        key = {0: "bids.one", 1: "bids.one", 2: "bids.both"}.get(len(loads), "bids.all-pairs")
        return w.say(key, watts=tell(most.value, "W", 4))
    more = f" (+{len(pairs) - MOST_PAIRS})" if len(pairs) > MOST_PAIRS else ""
    return w.say("bids.not-pairs", watts=tell(most.value, "W", 4), pairs=", ".join(pairs[:MOST_PAIRS]) + more)


def _weight(m: Material) -> str:
    laden, _ = laden_of(m.study)
    gross = known(m.rig.host.masses["gvwr"]) if "gvwr" in m.rig.host.masses else None
    if laden is None or gross is None:
        return m.words.say("bids.untold")
    left = m.units.heavy(gross.value - laden.value) or 0.0
    return f"{left:.0f} {m.units.mass}"


def _price(b: Bid) -> str:
    asked = b.cost.told
    if asked is None:
        return "____"
    told = f"{grouped(asked[0])} – {grouped(asked[1])}"
    lacking = len(b.cost.unpriced)
    return told + (b.m.words.say("bids.and-unpriced", n=lacking) if lacking else "")


def _days(b: Bid) -> str:
    lead = [p.lead_days for p in b.m.takeoff.parts if p.lead_days is not None]
    unsaid = sum(p.lead_days is None for p in b.m.takeoff.parts)
    hours = f"{b.cost.low_hours:.0f} – {b.cost.high_hours:.0f}"
    told = b.m.words.say("bids.delivery", days=max(lead) if lead else "?", hours=hours)
    return told + (b.m.words.say("bids.lead-unsaid", n=unsaid) if unsaid else "")
