"""The year in a few plain sentences: how often the lights go out, when it must be plugged in, what was promised."""

import numpy as np
from numpy.typing import NDArray

from ohmwright.energy.chance import ManyYears, quantile, quantile_error
from ohmwright.energy.plan import LIVED_IN
from ohmwright.energy.promises import day_name
from ohmwright.energy.series import stay_of_day

#: A spell is a run of days that see the socket at least so often in a bad year.
RARELY_days = 14.0
SMOOTH_days = 21
LEAST_days = 6
MOST_SPELLS = 2
#: A spell longer than this is also told at its worst.
LONG_days = 45
_NTH = ("every day", "every day", "every second day", "every third day", "every fourth day", "every fifth day", "every sixth day", "every seventh day")  # fmt: skip


def every(days: float) -> str:
    """How often, in words.

    >>> every(1.2), every(4.6), every(11.4)
    ('every day', 'every fifth day', 'every 11 days')
    """
    whole = round(days)
    return _NTH[whole] if whole < len(_NTH) else f"every {whole} days"


def verdict_of(many: ManyYears) -> tuple[str, ...]:
    """The first things to be read."""
    nights, years = many.nights_lost(), len(many.daily)
    usual, tenth = quantile(nights, 0.5), quantile(nights, 0.9)
    none = float((nights == 0).mean())
    if not nights.any():
        out = [f"In none of {years} made years does a night go without power."]
    elif none >= 0.9:
        fine = int((nights == 0).sum())
        out = [
            f"In {fine} of {years} made years no night goes without power; in the others up to {nights.max()}."
        ]
    else:
        usually = "no night goes" if usual == 0 else f"{usual:.0f} night{'s go' if usual > 1 else ' goes'}"
        out = [f"In a usual year {usually} without power; in one year in ten {tenth:.0f} or more (give or take {quantile_error(nights, 0.9):.1f})."]  # fmt: skip
    verb = "you plug in" if many.plan.generator.rated_W <= 0.0 else "generator or socket is wanted"
    spells = spells_of(many)
    if spells:
        out.append(f"In a bad year (one in ten) {verb} {'; '.join(spells)}.")
    away = _unattended(many)
    return (*out, *away)


def spells_of(many: ManyYears) -> tuple[str, ...]:
    """When and how often a rig is plugged in that is plugged in only when low, in the tenth of years that need it most."""
    lived = _lived_in(many)
    count = (many.plug_in & lived).sum(axis=1)
    if not count.any():
        return ()
    bad = many.plug_in[count >= max(quantile(count, 0.9), 1)].mean(axis=0)
    found = []
    for begin, end in _runs(lived):
        often = bad[begin : end + 1]
        box = np.ones(min(SMOOTH_days, often.size))
        smooth = np.convolve(often, box, "same") / np.convolve(np.ones(often.size), box, "same")
        for first, last in _runs(smooth >= 1.0 / RARELY_days):
            mean = float(often[first : last + 1].mean())
            if mean <= 0.0 or last - first < LEAST_days:
                continue
            text = f"{every(1.0 / mean)} from {day_name(begin + first)} to {day_name(begin + last)}"
            worst = int(np.argmax(smooth[first : last + 1])) + first
            if last - first > LONG_days and smooth[worst] > 1.3 * mean:
                text += f", around {day_name(begin + worst)} {every(1.0 / float(smooth[worst]))}"
            found.append((mean * (last - first + 1), begin + first, text))
    most = sorted(found, reverse=True)[:MOST_SPELLS]
    return tuple(text for _, _, text in sorted(most, key=lambda f: f[1]))


def _lived_in(many: ManyYears) -> NDArray[np.bool_]:
    return np.array(
        [s is not None and s.mode in LIVED_IN and not s.isolated for s in stay_of_day(many.plan.stays)]
    )


def _runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(int)))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _unattended(many: ManyYears) -> tuple[str, ...]:
    """Nights lost while nobody is there to see it."""
    held = stay_of_day(many.plan.stays)
    alone = np.array([s is not None and not s.isolated and s.mode not in LIVED_IN for s in held])
    lost = many.short()[:, alone].sum(axis=1)
    if not lost.any():
        return ()
    return (
        f"Of these {quantile(lost, 0.5):.0f} in a usual and {quantile(lost, 0.9):.0f} in a one-in-ten year come while nobody is there.",
    )
