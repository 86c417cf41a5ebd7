"""Long work that was asked for and has not ended yet: written down in the job folder, so that a restart goes on with it.

larkspur/works/papers.json           what was asked, and for which text
"""

import json
from collections.abc import Mapping
from pathlib import Path

from ohmwright.store.save import save

ROOM = "works"
MOST_BYTES = 10_000


def note(folder: str | Path, name: str, facts: Mapping[str, str]) -> None:
    """Write a wish down."""
    Path(folder, ROOM).mkdir(exist_ok=True)
    save(Path(folder, ROOM, f"{name}.json"), json.dumps(dict(facts)).encode())


def settle(folder: str | Path, name: str) -> None:
    """The wish is fulfilled or taken back."""
    Path(folder, ROOM, f"{name}.json").unlink(missing_ok=True)


def open_wishes(folder: str | Path) -> dict[str, dict[str, str]]:
    """The wishes of a job by name; one that cannot be read is none."""
    out: dict[str, dict[str, str]] = {}
    for path in sorted(Path(folder, ROOM).glob("[!.]*.json")):
        try:
            told = json.loads(path.read_bytes()[:MOST_BYTES])
            out[path.stem] = {str(k): str(v) for k, v in told.items()}
        except (OSError, ValueError, AttributeError, RecursionError):
            continue
    return out
