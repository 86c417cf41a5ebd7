"""The fault of a bank of equal batteries, worked along its ladder or star instead of by its nodes.

Equal batteries stand between a plus rail and a minus rail of links.  The fault joins the plus post of the last battery
with the minus post of battery `j`.  The current of every battery is a linear function of two unknowns, the first battery's
current and the whole; walking from the first battery to the last and closing the loop gives both.
"""

Pair = tuple[float, float]
"""a x + b T: x the first battery's current, T the whole fault."""


def _sum(*pairs: Pair) -> Pair:
    return sum(p[0] for p in pairs), sum(p[1] for p in pairs)


def _times(factor: float, pair: Pair) -> Pair:
    return factor * pair[0], factor * pair[1]


def chain_fault_A(
    count: int,
    open_V: float,
    battery_ohm: float,
    post_ohm: float,
    plus_ohm: float,
    minus_ohm: float,
    back: int,
) -> float:
    """Fault at the plus post of the last of `count` batteries, returning at the minus post of battery `back` (from 0).

    `post_ohm` lies between a battery's plus post and its rail, `plus_ohm` and `minus_ohm` are one link of each rail.

    >>> round(chain_fault_A(1, 14.4, 0.00175, 0.0, 0.0, 0.0, 0))
    8229
    >>> two = chain_fault_A(2, 14.4, 0.002, 0.0, 0.0005, 0.0005, 1)  # 14.4/0.002 + 14.4/(0.002 + 0.001)
    >>> round(two)
    12000
    """
    if count == 1:
        return open_V / battery_ohm
    through = battery_ohm + post_ohm
    whole: Pair = (0.0, 1.0)
    currents: list[Pair] = [(1.0, 0.0)]
    sums: list[Pair] = [currents[0]]
    for k in range(count - 2):
        left = (
            _times(minus_ohm, sums[k]) if k < back else _times(-minus_ohm, _sum(whole, _times(-1.0, sums[k])))
        )
        rise = _sum(_times(plus_ohm, sums[k]), left)
        currents.append(_sum(currents[k], _times(1.0 / through, rise)))
        sums.append(_sum(sums[k], currents[-1]))
    behind = sums[-1]
    low = [_minus(k, back, minus_ohm, sums, whole) for k in (count - 2, count - 1)]
    # E = i' (R + post) + (post + plus) S - M of the battery before the last; E = (T - S) R - M of the last.
    first = _sum(_times(through, currents[-1]), _times(post_ohm + plus_ohm, behind), _times(-1.0, low[0]))
    last = _sum(_times(battery_ohm, _sum(whole, _times(-1.0, behind))), _times(-1.0, low[1]))
    determinant = first[0] * last[1] - first[1] * last[0]
    return open_V * (first[0] - last[0]) / determinant


def _minus(k: int, back: int, minus_ohm: float, sums: list[Pair], whole: Pair) -> Pair:
    """Volts of battery k's minus post against the post that the fault returns to."""
    if k < back:
        return _times(-minus_ohm, _sum(*(sums[m] for m in range(k, back))))
    return _times(-minus_ohm, _sum((0.0, 0.0), *(_sum(whole, _times(-1.0, sums[m])) for m in range(back, k))))


def star_fault_A(count: int, open_V: float, plus_ohm: float, minus_ohm: float) -> float:
    """Fault at the plus bar of equal batteries on two bars: to the minus bar, or to one battery's minus post, the greater.

    `plus_ohm` is a battery with its way to the plus bar, `minus_ohm` its lead to the minus bar.

    >>> round(star_fault_A(4, 14.4, 0.00175 + 0.0004, 0.0))
    26791
    """
    to_bar = count * open_V / (plus_ohm + minus_ohm)
    others = open_V / ((plus_ohm + minus_ohm) / (count - 1) + minus_ohm) if count > 1 else 0.0
    return max(to_bar, open_V / plus_ohm + others)
