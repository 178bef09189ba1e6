"""Memory for results by what they rest on, bounded: the one used longest ago goes first."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class BoundedCache(Generic[K, V]):
    """Keeps the `most` results used last; `made` counts how often one had to be worked out."""

    def __init__(self, most: int) -> None:
        self.most = most
        self.made = 0
        self._kept: OrderedDict[K, V] = OrderedDict()

    def __len__(self) -> int:
        return len(self._kept)

    def get(self, key: K) -> V | None:
        """What is kept under a key, which counts as use; None where nothing is."""
        found = self._kept.get(key)
        if found is not None:
            self._kept.move_to_end(key)
        return found

    def keep(self, key: K, value: V) -> V:
        """Keep a result just worked out."""
        self.made += 1
        self._kept[key] = value
        self._kept.move_to_end(key)
        while len(self._kept) > self.most:
            self._kept.popitem(last=False)
        return value

    def get_or_make(self, key: K, make: Callable[[], V]) -> V:
        """The kept result, or a new one."""
        found = self.get(key)
        return self.keep(key, make()) if found is None else found

    def clear(self) -> None:
        """Forget everything; only speed changes."""
        self._kept.clear()
