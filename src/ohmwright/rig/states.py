"""State variables of a rig: who sets them, in which states they can be, and what a file may set."""

import re
from collections.abc import Iterable, Mapping

from ohmwright.kinds.base import Inside
from ohmwright.rig.graph import StateVariable
from ohmwright.rig.model import Load, Part, Run
from ohmwright.rig.ports import is_group
from ohmwright.rig.telling import listed, mapping, refuse, scalar, short, suggestion
from ohmwright.working import tree as t

#: Outside variables with their states, the ordinary one first, where no part of the rig says otherwise.
OUTSIDE: dict[str, tuple[str, ...]] = {
    "sun": ("up", "down"),
    "engine-running": ("stopped", "running"),
    "generator-running": ("stopped", "running"),
    "under-way": ("no", "yes"),
}

_TAKES = re.compile(r"(\w+) when live else (\w+)\Z")
_SHORT = re.compile(r"(?P<variable>\S+)\s+(?P<state>\S+)\Z")


def variable_id(part: Part, name: str, rule: str) -> str:
    """The full id of a part's variable: its own, or that of the rig when something outside drives it."""
    if rule == "rig":
        return name
    if rule == "run-by" and (driver := part.words.get("run_by") or part.record.words.get("run_by")):
        return driver
    return f"{part.id}.{name}" if name else part.id


def takes(load: Load) -> tuple[str, str] | None:
    """Which feed a load takes while it is live, and which else."""
    m = _TAKES.match(load.takes.strip())
    return (m[1], m[2]) if m else None


def variables_of(
    parts: Iterable[Part], loads: Iterable[Load], runs: Iterable[Run], insides: Mapping[str, Inside]
) -> dict[str, StateVariable]:
    """All variables in the order of the file."""
    out: dict[str, StateVariable] = {}
    for part in parts:
        if is_group(part):
            continue
        for v in insides[part.id].variables:
            full = variable_id(part, v.name, v.rule)
            if full in out:
                continue
            own = full == (f"{part.id}.{v.name}" if v.name else part.id)
            states = v.states if own or full not in OUTSIDE else OUTSIDE[full]
            out[full] = StateVariable(
                full, states, v.origin, v.rule, part.id if own else "", "" if own else full
            )
    for load in loads:
        if (choice := takes(load)) is not None:
            out[load.id] = StateVariable(load.id, choice, "automatic", f"live:{choice[0]}", load.id)
    for run in runs:
        for end in run.plugs:
            out[f"{run.id}.{end}"] = StateVariable(f"{run.id}.{end}", ("in", "out"), "hand", "", run.id)
    return out


def read_set(tree: t.Tree, variables: Mapping[str, StateVariable]) -> dict[str, str]:
    """`{Q5: 0, U2.hand: off}` checked against what the rig has."""
    if not isinstance(tree, t.Mapping):
        refuse(tree.at, "states are not written as a map", "write set: {Q1: open, U2.hand: off}")
    return {
        key: check_state(key, e.key, scalar(e.value, "a state").text.strip(), e.value, variables)
        for key, e in mapping(tree).entries.items()
    }


def check_state(
    name: str, key: t.Scalar, state: str, at: t.Tree, variables: Mapping[str, StateVariable]
) -> str:
    """The state, when the rig has that variable and that state."""
    variable = variables.get(name)
    if variable is None:
        inner = [v for v in variables if v.startswith(name + ".")]
        remedy = (
            f"write {listed(inner)}"
            if inner
            else suggestion(
                name, variables, f"write one of: {listed(variables)}" if variables else "this rig has none"
            )
        )
        refuse(key.at, f"'{short(name)}' is no state variable of this rig", remedy, name)
    if state not in variable.states:
        known = listed(variable.states)
        refuse(
            at.at,
            f"{name} is never '{short(state)}'",
            suggestion(state, variable.states, f"write one of: {known}"),
            state,
        )
    return state


def read_term(
    s: t.Scalar, variables: Mapping[str, StateVariable], loads: Mapping[str, Load]
) -> tuple[str, str]:
    """A term of a never: `Q5 1`, or `water-heater live`."""
    m = _SHORT.match(s.text.strip())
    if m is None:
        refuse(
            s.at,
            f"'{short(s.text)}' is no state",
            "write a variable and its state, for instance Q5 1, or: water-heater live",
            s.text,
        )
    name, state = m["variable"], m["state"]
    if state == "live" and name not in variables:
        if name not in loads:
            refuse(
                s.at, f"there is no load '{short(name)}'", suggestion(name, loads, "write a load's id"), name
            )
        return (name, "live")
    return (name, check_state(name, s, state, s, variables))
