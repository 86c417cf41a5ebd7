"""Questions that only eyes can settle: each subject cannot be told until somebody has looked and written it down."""

from collections.abc import Iterable, Iterator

from ohmwright.checks.answers import EYES
from ohmwright.checks.judgement import Judgement, cannot_tell

__all__ = ["EYES", "ask"]


def ask(rule: str, subjects: Iterable[str], question: str, remedy: str) -> Iterator[tuple[str, Judgement]]:
    """The question for each subject; a look answers it."""
    for subject in subjects:
        yield (
            subject,
            cannot_tell(
                question,
                (f"looked-at {rule} {subject}",),
                remedy=f"Look, and write it under looked-at. {remedy}",
            ),
        )
