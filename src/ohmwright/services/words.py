"""Words that commands and sheets share."""

CAUTION = "Advice to a competent technician. Local codes and licensed practice rule; what was not looked at is not proved."

SEVERITY_WORDS = {"danger": "DANGER", "fails": "FAILS", "disappoints": "DISAPPOINTS", "note": "NOTE"}

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def tag_word(verdict: str, severity: str) -> str:
    """The word of a finding's tag; "" for a pass and for what is not for this rig."""
    if verdict == "cannot-tell":
        return "CANNOT TELL"
    if verdict == "overridden":
        return "OVERRIDDEN"
    return SEVERITY_WORDS[severity] if verdict in ("fail", "warn") else ""
