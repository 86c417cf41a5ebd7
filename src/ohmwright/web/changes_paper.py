"""The change order sheet: two rigs of a job side by side, what follows, and what was bought in vain."""

from starlette.requests import Request
from starlette.responses import Response

from ohmwright.change.follows import Moved
from ohmwright.services import changes as services
from ohmwright.services.compare import Compared
from ohmwright.services.words import tag_word
from ohmwright.web.bench import Bench
from ohmwright.web.render import amount
from ohmwright.working import QuantityError

#: Lines of each table that are printed; together they fill two pages of A4.
PRINTED = {"changes": 14, "new": 6, "gone": 6, "figures": 14, "counted": 8, "stranded": 8}


def change_order(bench: Bench, request: Request) -> Response:
    """The sheet; `?old=@A&new=working` sets two side by side."""
    look = bench.desk.look(request.path_params["job"])
    folder = bench.desk.folder(look.job)
    all_of_them = services.sides(folder)
    keys = [s.key for s in all_of_them]
    asked = tuple(request.query_params.get(k, "") for k in ("old", "new"))
    issued = [k for k in keys if k.startswith("@")]
    others = [k for k in keys if k != "working"]
    first = issued[-1] if issued else "working"
    chosen = (
        asked[0] or first,
        asked[1] or ("working" if first != "working" else next(iter(others), "working")),
    )
    done: Compared | None = None
    if all(asked):
        old, new = (services.side_of(folder, k) for k in asked)
        done = bench.orders.of(folder, old, new)
    big, small, counted = services.figures_of(done) if done is not None else ((), (), ())
    return bench.sheet(
        request,
        look,
        "change-order",
        choices=all_of_them,
        chosen=chosen,
        names={s.key: s.name for s in all_of_them},
        done=done,
        big=big,
        small=small,
        counted=counted,
        most=PRINTED,
        papers=sorted({p.partition(".")[0] for p in done.follows.papers}) if done is not None else [],
        lines=services.changes_told(done) if done is not None else (),
        fresh=services.findings_of(done.follows.findings_new) if done is not None else (),
        gone=services.findings_of(done.follows.findings_gone) if done is not None else (),
        tag_word=tag_word,
        told_of=_told,
    )


def _told(moved: Moved, value: float | None, units: str) -> str:
    """A figure before or after, as people say it."""
    if value is None:
        return "none"
    try:
        return amount(value, moved.unit or "1", units, digits=4)
    except (QuantityError, KeyError, ValueError):
        return f"{value:.2f} {moved.unit}" if len(moved.unit) == 3 else f"{value:.4g} {moved.unit}".strip()
