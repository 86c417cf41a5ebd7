"""The change orders that were worked out last, kept while neither rig has changed."""

from collections import OrderedDict
from threading import Lock

from ohmwright.services import changes as services
from ohmwright.services.compare import Compared

MOST_KEPT = 8


class Orders:
    """The change orders that were worked out last."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Compared] = OrderedDict()
        self._made: dict[str, tuple[str, tuple[str, ...]]] = {}
        self._lock = Lock()

    def of(self, folder: str, old: services.Side, new: services.Side) -> Compared:
        """The change order between two rigs, worked out when either has changed."""
        key = services.stamp(folder, old, new)
        with self._lock:
            kept = self._kept.get(key)
        if kept is None:
            kept = services.order(old, new)
            with self._lock:
                self._kept[key] = kept
                while len(self._kept) > MOST_KEPT:
                    self._kept.popitem(last=False)
        return kept

    def make(self, folder: str, old: services.Side, new: services.Side) -> None:
        """Write the order as a paper, with the marked circuit, over those of the last one."""
        from ohmwright.services.change_paper import write

        written = write(self.of(folder, old, new), services.paper_folder(folder))
        with self._lock:
            self._made[folder] = services.stamp(folder, old, new), written.made

    def made(self, folder: str, old: services.Side, new: services.Side) -> tuple[str, ...]:
        """The papers that lie there of this very order."""
        with self._lock:
            key, names = self._made.get(folder, ("", ()))
        return names if key == services.stamp(folder, old, new) else ()

    def lies(self, folder: str, name: str) -> bool:
        """Whether a paper of that name was made here."""
        with self._lock:
            return name in self._made.get(folder, ("", ()))[1]
