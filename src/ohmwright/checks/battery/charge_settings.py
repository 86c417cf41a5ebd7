"""B23: every charger's voltages against the battery's page."""

from collections.abc import Iterator

from ohmwright.checks.battery.charge_current import chargers_of
from ohmwright.checks.circuits import banks
from ohmwright.checks.gather import asked, setting
from ohmwright.checks.judgement import Judgement, at_most, cannot_tell, most, skipped
from ohmwright.checks.registry import rule
from ohmwright.physics.sums import difference_V, many_V
from ohmwright.standards import Clause, find
from ohmwright.study import Study
from ohmwright.working import Figure, tell, work

REMEDY = "Set it as the battery's page says, and write it on the settings sheet."


def judge(
    name: str,
    as_set: Figure,
    page: Figure | None,
    absolute: Figure | None,
    nominal_V: float,
    missing: tuple[str, ...] = (),
) -> Judgement:
    """A set voltage: above the absolute maximum is a danger, more than 0.1 V per 12 V off the page fails."""
    if absolute is not None and not at_most(as_set.value, absolute.value):
        told = f"{name} is set to {tell(as_set.value, 'V', 4)}, above the battery's absolute maximum of {tell(absolute.value, 'V', 4)}."
        return most(
            as_set.value,
            absolute,
            "V",
            good="",
            bad=told,
            remedy=REMEDY,
            severity="danger",
            roots=(as_set, absolute),
        )
    if page is None or absolute is None:
        return cannot_tell("The battery's page does not say.", missing, unit="V", sense="max")
    slack = work(many_V, many_count=nominal_V / 12, one_V=find("batteries/setting-slack").figure)
    told = f"{name} is set to {tell(as_set.value, 'V', 4)}; the page says {tell(page.value, 'V', 4)}, give or take {slack.value:.2g} V"
    upper, lower = (as_set, page) if as_set.value >= page.value else (page, as_set)
    off = work(difference_V, first_V=upper, second_V=lower)
    return most(
        off,
        slack,
        "V",
        good=f"{told}.",
        bad=f"{told}.",
        remedy=REMEDY,
        severity="fails",
        steps=(off,),
        roots=(as_set, page, absolute),
    )


@rule(
    "battery/charge-settings",
    "B23",
    "Charge settings against the battery's page",
    why="Each charger comes with the settings of another battery. The one that nobody looked at is the one that overcharges.",
    severities=("danger", "fails"),
    clauses={"": Clause("", "", "the battery maker's page", "memory")},
)
def check(study: Study) -> Iterator[tuple[str, Judgement]]:
    """Absorption, float and equalising voltage of each charger of each bank."""
    for bank in banks(study.rig):
        one, n = bank.members[0], bank.in_series
        chargers = chargers_of(study, bank)
        if not chargers:
            yield bank.id, skipped("No charger with settings charges it.")
        page, absolute, nominal = (
            asked(one.figure(x)) for x in ("charge_voltage", "charge_voltage_max", "nominal_voltage")
        )
        lost = (*page.missing, *absolute.missing)
        for charger in chargers:
            as_set, equal = (
                setting(study.rig, charger.id, "absorption", "V"),
                setting(study.rig, charger.id, "equalise", "V"),
            )
            if as_set.figure is None:
                yield (
                    charger.id,
                    cannot_tell(
                        "Its charging voltage is not on the settings sheet.",
                        as_set.missing,
                        unit="V",
                        sense="max",
                        severity="fails",
                    ),
                )
            else:
                volts = nominal.figure.value * n if nominal.figure else 12.0
                yield (
                    charger.id,
                    judge(
                        "Absorption",
                        as_set.figure,
                        _times(page.figure, n),
                        _times(absolute.figure, n),
                        volts,
                        lost,
                    ),
                )
            floats, page_float = (
                setting(study.rig, charger.id, "float", "V"),
                asked(one.figure("float_voltage")),
            )
            if floats.figure is not None and page_float.figure is not None:
                volts = nominal.figure.value * n if nominal.figure else 12.0
                yield charger.id, judge("Float", floats.figure, _times(page_float.figure, n), _times(absolute.figure, n), volts, lost)  # fmt: skip
            if (
                equal.figure is not None
                and absolute.figure is not None
                and not at_most(equal.figure.value, absolute.figure.value * n)
            ):
                yield (
                    charger.id,
                    judge(
                        "Equalising",
                        equal.figure,
                        _times(page.figure, n),
                        _times(absolute.figure, n),
                        12.0,
                        lost,
                    ),
                )


def _times(f: Figure | None, n: int) -> Figure | None:
    return (
        None if f is None else Figure(f.value * n, f.unit, f.low * n, f.high * n, f.origin, address=f.address)
    )
