"""A generator with its own breaker and outlet."""

from ohmwright.kinds.base import FigureSpec, Inner, Inside, Kind, Port, Variable, Words, WordSpec
from ohmwright.kinds.shape import AC, SPLIT, said
from ohmwright.kinds.specs import TRISTATE

WORDS = {
    "split": WordSpec("two legs and a neutral", ("yes", "no"), "no"),
    "own": WordSpec("is it ours", ("yes", "no"), "yes"),
    "bond": WordSpec("what joins neutral and earth inside it", ("fitted", "none", "unknown"), "unknown"),
    "run_by": WordSpec("the outside variable that says it runs"),
    "regulation": WordSpec("what makes its voltage", ("inverter", "avr", "capacitor", "unknown"), "unknown"),
    "remote_start": WordSpec("can it be started by a contact", TRISTATE, "unknown"),
    "fuel": WordSpec("what it burns", ("petrol", "diesel", "gas", "unknown"), "unknown"),
}


def _inside(words: Words) -> Inside:
    split = said(words, WORDS, "split") == "yes"
    lines = ("L1", "L2") if split else ("L",)
    ports = (
        Port("", SPLIT if split else AC, "ac", "socket", takes=2),
        Port("behind", lines, "ac", takes=0, may_stay_free=True),
        Port("case", ("PE",), "case", may_stay_free=True),
    )
    runs = (("run", frozenset({"running"})),)
    inner = [Inner("pe-case", "conductor", "PE", "case.PE", "through")]
    for i, line in enumerate(lines):
        inner.append(
            Inner(
                f"winding-{line}",
                "source",
                f"behind.{line}",
                "N",
                "generator-half-turn" if i else "generator",
                "resistance",
                runs,
            )
        )
        inner.append(Inner(f"breaker-{line}", "conductor", f"behind.{line}", line, "own-breaker"))
    variables = [Variable("run", ("stopped", "running"), "outside", "run-by")]
    bond = said(words, WORDS, "bond")
    if bond == "fitted":
        inner.append(Inner("bond", "conductor", "N", "PE", "bond"))
    elif bond == "unknown":
        inner.append(Inner("bond", "switch", "N", "PE", "bond", when=(("bond", frozenset({"closed"})),)))
        variables.append(Variable("bond", ("closed", "open"), "outside", "unknown"))
    return Inside(ports, tuple(inner), tuple(variables))


KIND = Kind(
    "generator",
    "generator",
    "G",
    {
        "power": FigureSpec("W", "continuous power at sea level", "degC"),
        "apparent_power": FigureSpec("VA", "continuous apparent power"),
        "ac_voltage": FigureSpec("V", "voltage, line to neutral"),
        "frequency": FigureSpec("Hz", "frequency"),
        "breaker": FigureSpec("A", "its own breaker"),
        "resistance": FigureSpec("ohm", "source resistance", default="0.5 ohm"),
        "short_circuit_current": FigureSpec("A", "sustained fault current"),
        "altitude_loss": FigureSpec("1", "loss of power for each 100 m above altitude_free", default="1 %"),
        "altitude_free": FigureSpec("m", "height above sea up to which it gives full power", default="300 m"),
        "fuel_half": FigureSpec("L/h", "fuel at half load"),
        "fuel_full": FigureSpec("L/h", "fuel at full load"),
        "power_factor": FigureSpec("1", "power factor of its rating"),
    },
    _inside,
    WORDS,
)
