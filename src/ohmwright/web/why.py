"""Why: the derivation of a verdict or a figure, to be followed with a pocket calculator."""

from starlette.requests import Request
from starlette.responses import Response

from ohmwright.services import why as services
from ohmwright.services.words import tag_word
from ohmwright.web.bench import Bench
from ohmwright.working import OhmwrightError, Step


def why(bench: Bench, request: Request) -> Response:
    """The page: `?what=RULE&subject=SUBJECT`, or `?what=ADDRESS` of a figure."""
    look = bench.desk.look(request.path_params["job"])
    what, subject = request.query_params.get("what", ""), request.query_params.get("subject", "")
    if not what:
        raise OhmwrightError("it was not said what to derive", remedy="choose a figure or a note")
    done = services.derived(look.checked, what, subject or None)
    steps: list[Step] = []
    for last in done.finding.steps if done.finding else ():
        steps += [s for s in last.chain() if s not in steps]
    word = tag_word(done.finding.verdict, done.finding.severity) if done.finding else ""
    return bench.page(
        request, "why.html", **{**bench.around(look, "check"), "done": done, "steps": steps, "word": word}
    )
