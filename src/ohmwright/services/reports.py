"""A fault of the program becomes a report on disk, and one line for the user."""

import tempfile
import traceback
from pathlib import Path

from ohmwright import __version__


def bug_report(argv: list[str], bug: BaseException) -> Path:
    """Write what happened; the path of the report."""
    text = "\n".join(
        [
            f"ohmwright {__version__}",
            "arguments: " + " ".join(argv),
            "",
            "".join(traceback.format_exception(bug)),
        ]
    )
    with tempfile.NamedTemporaryFile(
        "w", prefix="ohmwright-fault-", suffix=".txt", delete=False, encoding="utf-8"
    ) as file:
        file.write(text)
        return Path(file.name)
