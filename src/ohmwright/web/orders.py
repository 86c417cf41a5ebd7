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
