"""What charges a rig besides the sun, in the words of whoever lives with it: a boat at sea has no plug, a cabin may have none."""

from ohmwright.papers.material import Material

#: Kinds of part by which an engine charges.
ENGINE = ("alternator", "dcdc-charger")


def is_plugged(m: Material) -> bool:
    """True where somebody plugs in. The inlet of a cabin that has no post is its generator's."""
    if m.rig.of_kind("supply-post", "outlet"):
        return True
    own = m.rig.host.kind == "cabin" and bool(m.rig.of_kind("generator"))
    return bool(m.rig.of_kind("shore-inlet")) and not own


def outside(m: Material) -> str:
    """`the plug, the engine or the generator`, as far as the rig has them; "" where nothing but the sun charges it."""
    w = m.words
    found = (
        ("plug-boat" if m.rig.host.kind == "boat" else "plug", is_plugged(m)),
        ("engine", bool(m.rig.of_kind(*ENGINE))),
        ("hydrogenerator", bool(m.rig.of_kind("hydrogenerator"))),
        ("wind-generator", bool(m.rig.of_kind("wind-generator"))),
        ("generator", bool(m.rig.of_kind("generator"))),
    )
    names = [w.say(f"outside.{name}") for name, there in found if there]
    if len(names) < 2:
        return "".join(names)
    return w.say("outside.or", some=", ".join(names[:-1]), last=names[-1])
