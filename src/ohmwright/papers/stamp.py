"""One stamp for all writers: the date and what the papers were made from, so that the same input gives the same bytes."""

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime

_ZERO = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Stamp:
    """Date of issue (or of making), hash of the input, letter of the revision."""

    dated: str
    input_sha256: str
    revision: str = ""

    @property
    def moment(self) -> datetime:
        """Midnight of that date, universal time."""
        day = date.fromisoformat(self.dated)
        return datetime(day.year, day.month, day.day, tzinfo=UTC)

    @property
    def seconds(self) -> int:
        """The same, as seconds since 1970."""
        return int((self.moment - _ZERO).total_seconds())

    def id(self, name: str) -> str:
        """An identity for a file that wants one: 32 hexadecimal digits from date, input and the paper's name."""
        told = "\n".join((self.dated, self.input_sha256, self.revision, name))
        return hashlib.sha256(told.encode()).hexdigest()[:32]
