"""A store of bounded weight: what was neither kept nor asked for lately goes first."""

from __future__ import annotations

from collections import OrderedDict
from typing import Generic, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class Lately(Generic[K, V]):
    """Values by key. ``most``: what all of them may weigh together, in whatever the caller weighs by."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[K, tuple[V, int]] = OrderedDict()
        self._weight = 0

    def get(self, key: K) -> V | None:
        """Return what is kept under a key, or None."""
        found = self._kept.get(key)
        if found is None:
            return None
        self._kept.move_to_end(key)
        return found[0]

    def keep(self, key: K, value: V, weight: int = 1) -> None:
        """Keep a value, unless it alone weighs too much; others go until the rest is light enough."""
        if weight > self.most:
            return
        _, before = self._kept.pop(key, (None, 0))
        self._kept[key] = (value, weight)
        self._weight += weight - before
        while self._weight > self.most:
            _, (_, oldest) = self._kept.popitem(last=False)
            self._weight -= oldest

    def clear(self) -> None:
        """Forget everything."""
        self._kept.clear()
        self._weight = 0
