"""Cards for whoever is aboard: how it lives, the emergency, leaving it, waking it. One side each, in large type."""

from collections.abc import Iterator, Mapping

from ohmwright.energy.types import Storage
from ohmwright.papers.doc import Block, Column, Doc, Fields, Heading, Points, Table, Text
from ohmwright.papers.energy_page import told_storage
from ohmwright.papers.figures import at_most, banks, cold_volts, fault_kA, stored_kWh
from ohmwright.papers.material import Material
from ohmwright.papers.outside import ENGINE, is_plugged, outside
from ohmwright.papers.quote import promised, together, weight_left
from ohmwright.papers.settings_sheet import told
from ohmwright.rig.model import Part
from ohmwright.working import known, number, tell


def how_it_lives(m: Material) -> Doc:
    """One page in the customer's words, with the three facts to remember."""
    w = m.words
    said = [
        w.say("lives.said", name=p.name, said=p.words["said"])
        for p in m.rig.use.promises
        if p.words.get("said")
    ]
    others = outside(m)
    first = w.say("lives.what-this-is", outside=others) if others else w.say("lives.sun-alone")
    blocks: list[Block] = [Text(first, "lead")]
    if said:
        blocks += [Heading(w.say("lives.you-said"), 2), Points(tuple(said))]
    blocks += [
        Heading(w.say("lives.it-does"), 2),
        *promised(m),
        Heading(w.say("lives.three"), 2),
        Points((full_mark(m), *_leave_first(m), _dark_first(m)), "numbers", large=True),
    ]
    blocks += list(weight_left(m))
    blocks.append(
        m.cautions(
            "array-live",
            "bank-energy",
            "switching-order",
            "no-unplug",
            "no-charge-cold",
            "listed-profiles",
            "no-mixing",
            "vents",
            "retorque",
            "who-may-change",
            "after-crash",
        )
    )
    return m.doc("lives", blocks)


def full_mark(m: Material) -> str:
    """What full looks like on this rig's meter."""
    for part, values in m.rig.settings.items():
        if m.rig.parts[part].kind.name == "shunt" and "full" in values and "end-current" in values:
            return m.words.say(
                "lives.full", meter=part, volts=told(m, values["full"]), amps=told(m, values["end-current"])
            )
    return m.words.say("lives.full-unknown")


def _leave_first(m: Material) -> Iterator[str]:
    left = {s.mode: s.set for s in reversed(m.rig.use.stays) if s.set}
    if "laid-up" in left:
        yield m.words.say("lives.leave", set=switched(m, left["laid-up"]))
    elif "unattended" in left:
        yield m.words.say("lives.leave-empty", set=switched(m, left["unattended"]))
    else:
        yield m.words.say("lives.leave-unknown")


def switched(m: Material, states: Mapping[str, str]) -> str:
    """Switches as they are to stand: OFF and ON, other words as the file has them."""
    plain = {"open": m.words.say("cards.off"), "off": m.words.say("cards.off"), "closed": m.words.say("cards.on"), "on": m.words.say("cards.on")}  # fmt: skip
    return ", ".join(
        f"{k.removesuffix('.hand')} {told}"
        if (told := plain.get(str(v)))
        else m.words.say("cards.at", switch=k, position=v)
        for k, v in states.items()
    )


def _dark_first(m: Material) -> str:
    cut = dict.fromkeys(v.partition(".")[0] for c in m.rig.cuts.values() for v in c.set)
    return m.words.say("lives.dark", devices=", ".join(cut or (p.id for p in _switches(m))) or "____")


def _switches(m: Material) -> tuple[Part, ...]:
    return m.rig.of_kind("battery-switch")


def emergency_card(m: Material) -> Doc:
    """What to do when it smokes, tingles, floods or crashed; with the figures the fire service asks for."""
    w = m.words
    afloat = m.rig.host.kind == "boat"
    steps = [w.say("emergency.out-boat" if afloat else "emergency.out")]
    if m.rig.of_kind(*ENGINE):
        steps.append(w.say("emergency.engine"))
    steps += _cuts(m)
    steps += _outside_off(m)
    steps += _array_off(m)
    steps.append(w.say("emergency.call-boat" if afloat else "emergency.call"))
    facts: list[tuple[str, str]] = []
    for bank in banks(m.rig):
        stored, pushed = stored_kWh(m.rig, bank), fault_kA(m.study, bank)
        figures = (
            w.say(f"emergency.cells.{bank.word('chemistry') or 'unknown'}"),
            w.say("emergency.stored", kWh=stored) if stored else w.say("emergency.stored-unknown"),
            w.say("emergency.pushed", kA=pushed) if pushed else w.say("emergency.pushed-unknown"),
        )
        facts.append((f"{bank.id} · {bank.place or '?'}", ", ".join(figures)))
    volts = cold_volts(m.findings)
    if m.rig.of_kind("module"):
        told_V = (
            w.say("emergency.array-volts", volts=at_most(volts))
            if volts
            else w.say("emergency.array-unknown")
        )
        facts.append((w.say("emergency.array-fact"), told_V))
    live = [w.say("emergency.live", set=switched(m, c.set), live=", ".join(c.stays_live) or w.say("label.nothing")) for c in m.rig.cuts.values()]  # fmt: skip
    if live:
        facts.append((w.say("emergency.stays-live"), "; ".join(live)))
    blocks: list[Block] = [
        Points(tuple(steps), "numbers", large=True),
        Heading(w.say("emergency.tingle-title"), 2),
        Points(w.all(_tingle(m.rig.host.kind))),
        Heading(w.say("emergency.facts-boat" if afloat else "emergency.facts"), 2),
    ]
    blocks += [
        Table(
            (Column(w.say("emergency.what"), part=2), Column(w.say("emergency.fact"), part=5)), tuple(facts)
        )
    ]
    blocks += [
        m.cautions(
            *(("bank-before-array",) if m.rig.of_kind("pv-disconnect") else ()),
            "cell-gas",
            "smell-heat",
            "after-crash",
        ),
        Fields(tuple((x, "") for x in w.all("emergency.phones-boat" if afloat else "emergency.phones")), 2),
    ]
    return m.doc("emergency", blocks, card=True)


def _tingle(host: str) -> str:
    match host:
        case "boat":
            return "emergency.tingle-boat"
        case "cabin":
            return "emergency.tingle-cabin"
        case _:
            return "emergency.tingle"


def _cuts(m: Material) -> Iterator[str]:
    """What makes the bus dead. A cut that shares a switch with one before it is the other way to the same end."""
    w, before = m.words, set[str]()
    for name, cut in m.rig.cuts.items():
        key = "emergency.cut-else" if before & set(cut.set) else "emergency.cut"
        before |= set(cut.set)
        yield w.say(key, name=name, set=", ".join(_switched_at(m, k, v) for k, v in cut.set.items()))
    if not m.rig.cuts:
        yield from [w.say("emergency.main", part=p.id, place=p.place or "?") for p in _switches(m)] or [
            w.say("emergency.no-cut")
        ]


def _switched_at(m: Material, variable: str, state: str) -> str:
    """One switch as it is to stand, and where it is."""
    part = m.rig.parts.get(variable.partition(".")[0])
    return f"{switched(m, {variable: state})} ({part.place if part and part.place else '?'})"


def _outside_off(m: Material) -> Iterator[str]:
    """The post and the generator."""
    if is_plugged(m):
        yield m.words.say("emergency.supply")
    for p in m.rig.of_kind("generator"):
        yield m.words.say("emergency.generator", part=p.id, place=p.place or "?")


def _array_off(m: Material) -> Iterator[str]:
    """The array's switches, those of one place in one step."""
    at: dict[str, list[str]] = {}
    for p in m.rig.of_kind("pv-disconnect"):
        at.setdefault(p.place or "?", []).append(p.id)
    for place, names in at.items():
        yield m.words.say("emergency.array", part=", ".join(names), place=place)
    if m.rig.of_kind("module") and not at:
        yield m.words.say("emergency.array-bare")


def leave_card(m: Material) -> Doc:
    """Overnight, two weeks, winter."""
    w = m.words
    laid_up = {s.mode for s in m.rig.use.stays} & {"laid-up", "unattended"} != {"unattended"}
    storage = [
        w.say(
            "leave.storage",
            bank=b.id,
            soc=f"{soc.value * 100:.0f}",
            low=told(m, b.figure("storage_min")),
            high=told(m, b.figure("storage_max")),
        )
        for b in banks(m.rig)
        if laid_up and (soc := known(b.figure("storage_soc"))) is not None
    ]
    too_cold = [
        w.say(
            "leave.storage-cold",
            bank=f.subject,
            night=tell(f.value, f.unit, 3),
            limit=tell(f.limit, f.unit, 3),
        )
        for f in m.findings
        if f.number == "B8" and f.verdict == "fail" and f.value is not None and f.limit is not None
    ]
    stored = m.year.storage if m.year else ()
    due = [told_storage(m, s) for s in stored]
    due += [x for s in stored for x in _taken_off(m, s)]
    notes = tuple(dict.fromkeys(f"{x[:1].upper()}{x[1:]}." for s in stored for x in s.notes))
    cautions: tuple[str, ...] = ("no-charge-cold", "array-live", "vents")
    if any(x.partition(":")[0] in m.rig.use.loads for s in stored for x in s.disconnect):
        cautions = ("alarms-off", *cautions)
    plugged = is_plugged(m)
    empty = [switched(m, s.set) for s in m.rig.use.stays if s.mode in ("laid-up", "unattended") and s.set]
    winter = [w.say("leave.set", set=told) for told in dict.fromkeys(empty)]
    if winter and (arrays := _arrays_left_on(m)):
        winter.insert(0, w.say("leave.array-first", part=", ".join(arrays)))
    blocks: list[Block] = [
        Heading(w.say("leave.night"), 2), Points(w.all("leave.night-steps"), "boxes", large=True),
        Heading(w.say("leave.weeks"), 2), Points(w.all("leave.weeks-steps" if plugged else "leave.weeks-steps-unplugged"), "boxes", large=True),
        Heading(w.say("leave.winter"), 2), Points((*winter, *due, *too_cold, *storage, *((w.say("leave.unplug"),) if plugged else ()), *w.all("leave.winter-steps")), "boxes", large=True),
        *((Points(notes),) if notes else ()), Fields(tuple((x, "") for x in w.all("leave.fields")), 2), m.cautions(*cautions),
    ]  # fmt: skip
    return m.doc("leave", blocks, card=True)


def _taken_off(m: Material, s: Storage) -> Iterator[str]:
    """What still draws on a bank that is laid up: ahead of the main switch, and behind it."""
    w = m.words
    ahead = [x.partition(":")[0] for x in s.disconnect if ":" in x]
    behind = [x for x in s.disconnect if ":" not in x]
    for x in ahead:
        part = m.rig.parts.get(x)
        key = "leave.pull-management" if part and part.kind.name == "bms-outside" else "leave.pull"
        yield w.say(key, what=f"{x} ({m.said(part.kind.title)})" if part else x)
    if behind:
        arrays = [p.id for p in m.rig.of_kind("pv-disconnect")]
        mains = [p.id for p in _switches(m)]
        if arrays:
            yield w.say("leave.array-first", part=", ".join(arrays))
        main = ", ".join(mains) or "____"
        yield w.say("leave.main", part=main, what=", ".join(behind))


def _arrays_left_on(m: Material) -> list[str]:
    """Switches of the array that stay closed while a stay opens the battery's: a controller without its battery."""
    batteries = {p.id for p in _switches(m)}
    set_off: set[str] = set()
    for stay in m.rig.use.stays:
        if stay.mode in ("laid-up", "unattended"):
            set_off |= {k.partition(".")[0] for k, v in stay.set.items() if str(v) in ("open", "off")}
    return (
        [p.id for p in m.rig.of_kind("pv-disconnect") if p.id not in set_off] if batteries & set_off else []
    )


def wake_card(m: Material) -> Doc:
    """After a blackout; after the winter."""
    w = m.words
    sleeping = [f"{x[:1].upper()}{x[1:]}." for s in (m.year.storage if m.year else ()) for x in s.wake_up]
    recovery = [
        w.say("wake.recovery", bank=b.id, words=b.word("recovery"))
        for b in banks(m.rig)
        if b.word("recovery")
    ]
    others = outside(m)
    charge = w.say("wake.charge", outside=others) if others else w.say("wake.charge-sun")
    dark = (*w.all("wake.dark-first"), charge, *w.all("wake.dark-then"), *recovery)
    blocks: list[Block] = [
        Heading(w.say("wake.dark"), 2), Points(dark, "numbers", large=True),
        Heading(w.say("wake.spring"), 2), Points((w.say("wake.spring-look"), *(dict.fromkeys(sleeping) or w.all("wake.spring-plain")), *w.all("wake.spring-last")), "numbers", large=True),
        m.cautions(*(("shore-limit",) if is_plugged(m) else ()), "no-charge-cold", "flat-cells", "no-booster", "smell-heat"),
    ]  # fmt: skip
    return m.doc("wake", blocks, card=True)


def runs_together(m: Material) -> Doc:
    """What runs together on the bank, and on each supply."""
    w = m.words
    blocks: list[Block] = [
        Text(w.say("together.what-this-is")),
        Heading(w.say("together.bank"), 2),
        *together(m),
        *(Text(m.said(f.message), "strong") for f in m.findings if f.number == "B3" and f.verdict == "fail"),
        Heading(w.say("together.supply"), 2),
    ]
    if not is_plugged(m) and m.rig.of_kind("generator"):
        blocks += list(_from_generator(m))
    else:
        blocks += list(_from_supply(m))
    return m.doc("together", blocks, card=True)


def _from_generator(m: Material) -> Iterator[Block]:
    w = m.words
    for p in m.rig.of_kind("generator"):
        watts = known(p.figure("power"))
        key = "together.generator" if watts is not None else "together.generator-unknown"
        yield Text(w.say(key, part=p.id, watts=tell(watts.value, "W", 3) if watts else ""))
    yield m.cautions("generator-and-shore")


def _from_supply(m: Material) -> Iterator[Block]:
    w = m.words
    volts = next(
        (
            f.value
            for p in (*m.rig.of_kind("inverter-charger"), *m.rig.of_kind("inverter"))
            if (f := known(p.figure("ac_voltage"))) is not None
        ),
        None,
    )
    if volts is None:
        yield Text(w.say("together.no-volts"))
    else:
        amps = (15, 20, 30, 50) if m.rig.job.rules.startswith("us") else (6, 10, 16)
        inlets = [
            f.value for p in m.rig.of_kind("shore-inlet") if (f := known(p.figure("rated"))) is not None
        ]
        yield Table(
            (
                Column(w.say("together.supply-column"), 0, 0, "A"),
                Column(w.say("together.most"), 0, 0, "W"),
                Column(w.say("together.day"), 0, 0, "W"),
            ),
            tuple((a, a * volts, 0.8 * a * volts) for a in amps if not inlets or a <= max(inlets)),
        )
        yield Text(w.say("together.eighty"), "note")
    yield m.cautions("shore-limit", "generator-and-shore")


def _throttled(m: Material) -> Iterator[str]:
    """The full bank at noon, which looks like a fault and is none."""
    held = next((v[k] for v in m.rig.settings.values() for k in ("float", "absorption") if k in v), None)
    watts = [known(p.figure("power")) for p in m.rig.of_kind("module")]
    if held is not None and watts and all(watts):
        could = 0.75 * sum(f.value for f in watts if f)
        yield m.words.say("readings.example-throttled", held=told(m, held), watts=tell(could, "W", 2))


def readings(m: Material) -> Doc:
    """What the readings mean, with this rig's own meters and three worked examples."""
    w = m.words
    meters = [p.id for p in m.rig.of_kind("shunt", "monitor")]
    volts = next(
        (f.value for b in banks(m.rig) if (f := known(b.figure("nominal_voltage"))) is not None), None
    )
    host = w.texts.get(f"readings.host.{m.rig.host.kind}", w.say("readings.host.rig"))
    if volts is None:
        examples: tuple[str, ...] = (w.say("readings.no-volts"),)
    else:
        nominal = number(volts)
        examples = (
            w.say("readings.example-load", host=host, volts=nominal, watts=f"{20 * volts:.0f}"),
            w.say("readings.example-sun", volts=nominal, watts=f"{30 * volts:.0f}", load=f"{10 * volts:.0f}"),
            *_throttled(m),
            w.say("readings.example-hidden", volts=nominal, error=tell(0.05 * 1000, "W", 2)),
        )
    blocks: list[Block] = [
        Text(w.say("readings.what-this-is"), "lead"), Text(w.say("readings.meters", meters=", ".join(meters) or "____")), Text(w.say("readings.sign")), Points(examples, "numbers"), Text(full_mark(m)), Points(w.all("readings.notes")),
    ]  # fmt: skip
    return m.doc("readings", blocks, card=True)
