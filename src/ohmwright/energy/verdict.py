"""The year in a few plain sentences: how often the lights go out, when it must be plugged in, what was promised."""

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.chance import ManyYears, quantile, quantile_error
from ohmwright.energy.promises import day_name
from ohmwright.energy.series import between_days, lived_days

#: A spell is a run of days that see the socket at least so often in a bad year.
RARELY_days = 14.0
SMOOTH_days = 21
LEAST_days = 6
MOST_SPELLS = 2
#: A spell longer than this is also told at its worst.
LONG_days = 45
_NTH = ("every day", "every day", "every second day", "every third day", "every fourth day", "every fifth day", "every sixth day", "every seventh day", "every eighth day", "every ninth day", "every tenth day")  # fmt: skip


def every(days: float) -> str:
    """How often, in words.

    >>> every(1.2), every(4.6), every(11.4)
    ('every day', 'every fifth day', 'every 11th day')
    """
    whole = round(days)
    return _NTH[whole] if whole < len(_NTH) else f"every {whole}th day"


def give_or_take(nights: float) -> str:
    """The error of a number of nights: years hold whole nights, so a rank's error can vanish between them.

    >>> give_or_take(0.0), give_or_take(1.5)
    ('give or take less than one', 'give or take 1.5')
    """
    return f"give or take {nights:.1f}" if nights >= 0.5 else "give or take less than one"


def verdict_of(many: ManyYears) -> tuple[str, ...]:
    """The first things to be read."""
    nights, years = many.nights_lost(), len(many.daily)
    of = of_the_nights(many)
    usual, tenth = quantile(nights, 0.5), quantile(nights, 0.9)
    none = float((nights == 0).mean())
    if not nights.any():
        out = [f"In none of {years} made years does {'any' if of else 'a night'}{of} go without power."]
    elif none >= 0.9:
        fine = int((nights == 0).sum())
        out = [
            f"In {fine} of {years} made years {'none' if of else 'no night'}{of} goes without power; in the others up to {nights.max()}."
        ]
    else:
        told = f"{usual:.0f}{of}" if of else f"{usual:.0f} night{'s' if usual > 1 else ''}"
        usually = (
            f"{'none' if of else 'no night'}{of} goes"
            if usual == 0
            else f"{told} {'go' if usual > 1 else 'goes'}"
        )
        out = [f"In a usual year {usually} without power; in one year in ten {tenth:.0f} or more ({give_or_take(quantile_error(nights, 0.9))})."]  # fmt: skip
    plugged = any(any(d.supply_W) for s in many.plan.stays for d in s.days.values())
    verb = "you plug in"
    if many.plan.generator.rated_W > 0.0:
        verb = "generator or socket is wanted" if plugged else "the generator is wanted"
    if any(s.mode == "passage" for s in many.plan.stays):
        verb = "engine, socket or less use is wanted"
    spells = spells_of(many)
    if spells:
        out.append(f"In a bad year (one in ten) {verb} {'; '.join(spells)}.")
    away = _unattended(many)
    return (*out, *away)


def of_the_nights(many: ManyYears) -> str:
    """Of how many, where fewer nights are lived in than the stays hold: " of the 60 nights"."""
    if not between_days(many.plan.stays).any():
        return ""
    return f" of the {int(lived_days(many.plan.stays).sum())} nights"


def spells_of(many: ManyYears) -> tuple[str, ...]:
    """When and how often a rig is plugged in that is plugged in only when low, in the tenth of years that need it most."""
    lived = lived_days(many.plan.stays)
    spans = lived | between_days(many.plan.stays)
    count = (many.plug_in & lived).sum(axis=1)
    if not count.any():
        return ()
    bad = many.plug_in[count >= max(quantile(count, 0.9), 1)].mean(axis=0)
    found = []
    lived_in = " lived in" if between_days(many.plan.stays).any() else ""
    for begin, end in _runs(spans):
        often, there = bad[begin : end + 1], lived[begin : end + 1].astype(np.float64)
        box = np.ones(min(SMOOTH_days, often.size))
        days = np.convolve(there, box, "same")
        smooth = np.convolve(often * there, box, "same") / np.maximum(days, 1.0)
        for first, last in _runs(smooth >= 1.0 / RARELY_days):
            nights = float(there[first : last + 1].sum())
            mean = float((often * there)[first : last + 1].sum()) / max(nights, 1.0)
            if mean <= 0.0 or last - first < LEAST_days:
                continue
            text = f"{every(1.0 / mean)}{lived_in} from {day_name(begin + first)} to {day_name(begin + last)}"
            worst = int(np.argmax(smooth[first : last + 1])) + first
            if last - first > LONG_days and smooth[worst] > 1.3 * mean:
                text += f", and {every(1.0 / float(smooth[worst]))} around {day_name(begin + worst)}"
            found.append((mean * nights, begin + first, text))
    most = sorted(found, reverse=True)[:MOST_SPELLS]
    return tuple(text for _, _, text in sorted(most, key=lambda f: f[1]))


def _runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(int)))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _days(count: float) -> str:
    """So many days, in words.

    >>> _days(0.0), _days(1.0), _days(19.0)
    ('no day', '1 day', '19 days')
    """
    return "no day" if count < 0.5 else f"{count:.0f} day{'' if round(count) == 1 else 's'}"


def _unattended(many: ManyYears) -> tuple[str, ...]:
    """Days that lack something while nobody is there to see it: they are not among the nights lost."""
    lost = many.short()[:, ~lived_days(many.plan.stays)].sum(axis=1)
    if not lost.any():
        return ()
    return (
        f"While nobody is there it runs short too: on {_days(quantile(lost, 0.5))} of a usual year, on {_days(quantile(lost, 0.9))} or more of one year in ten.",
    )
