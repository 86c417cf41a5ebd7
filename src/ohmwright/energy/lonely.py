"""What a single year says when no other years stand beside it."""

from ohmwright.energy.loop import MONTH_OF_DAY, MONTHS
from ohmwright.energy.one_year import OneYear
from ohmwright.energy.promises import uncounted_loads
from ohmwright.energy.series import lived_days
from ohmwright.rig.model import Rig


def lonely_notes(one: OneYear) -> tuple[str, ...]:
    """What must be said of a year that stands alone."""
    if all(s.is_real for s in one.skies):
        return ()
    return (
        "The weather is a typical year made from monthly means: it holds no unusual week, so shortages come out too small; ask for 1000 years.",
    )


def lonely_verdict(rig: Rig, one: OneYear) -> tuple[str, ...]:
    """What a single year says, and that it cannot say how often."""
    lost = one.nights_lost()
    lived = int(lived_days(one.plan.stays).sum())
    by_month = [sum(n for n, m in zip(lost, MONTH_OF_DAY, strict=True) if m == k) for k in range(12)]
    if not lived:
        first = "Nobody lives in it in this year, so no night can be lost."
    elif not any(lost):
        first = f"In this one year none of the {lived} nights goes without power."
    else:
        worst = max(range(12), key=lambda k: by_month[k])
        goes = "goes" if sum(lost) == 1 else "go"
        there = "all" if by_month[worst] == sum(lost) else str(by_month[worst])
        when = f"in {MONTHS[worst]}" if sum(lost) == 1 else f"{there} of them in {MONTHS[worst]}"
        first = f"In this one year {sum(lost)} of the {lived} nights {goes} without power, {when}."
    out = [first, "One year cannot say how often that comes, nor how bad a bad one is."]
    if missing := uncounted_loads(rig, one.plan):
        out.append(
            f"Left out, because their use is not known: {', '.join(missing)}. The truth is worse than this."
        )
    return tuple(out)
