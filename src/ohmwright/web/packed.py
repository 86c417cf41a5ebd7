"""What goes over a slow line: packed text, and types and scripts under names that change with what is in them."""

import hashlib
from pathlib import Path
from typing import TypedDict

from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES

STATIC = Path(__file__).parent / "static"


class Packing(TypedDict):
    """How text is packed."""

    minimum_size: int
    compresslevel: int
    exclude_content_types: tuple[str, ...]


#: Level 4 packs a sheet to a ninth in a few ms; level 9 saves a tenth more in three times the time.  The beats of a change
#: go as they are, so that none is held back; so do papers that are packed in themselves.
PACKING: Packing = {
    "minimum_size": 1000,
    "compresslevel": 4,
    "exclude_content_types": (
        *DEFAULT_EXCLUDED_CONTENT_TYPES,
        "application/pdf",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ),
}


def stamp() -> str:
    """Short hash of scripts and styles; "" while they are not bundled."""
    try:
        text = b"".join((STATIC / name).read_bytes() for name in ("bench.css", "bench.js"))
    except OSError:
        return ""
    return hashlib.sha256(text).hexdigest()[:12]
