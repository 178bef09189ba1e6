"""Results kept by what they rest on, in bounded memory: worked out again only when an input is another.

Deleting what is kept changes only speed. Four ways to keep:

- `KeptByInputs`: a result of something (a work, a zone, a job) with the tuple of all it was worked out from. It is
  found again while every input is the same: the very same object, at once; an equal one, after comparing. Inputs are
  values (frozen dataclasses, tuples, mappings, texts, numbers) that nobody changes. What is large (a job, a library)
  goes in as `Same(it)`: never compared by content.
- `BoundedByIdentity`: a result of one object that is held and passed on.
- `KeptRows`: the results of a long row of objects, most of which are the very same as last time.
- `BoundedCache`: results by a key that says everything itself.

What is read again after an edit stays the same object where nothing was edited, so a comparison is a look at pointers.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Sequence
from itertools import compress, count, islice
from operator import is_not
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")
R = TypeVar("R")
Inputs = tuple[object, ...]


class Same:
    """An input that is the same only while it is the very same object: for what is too large to be compared."""

    __slots__ = ("of",)

    def __init__(self, of: object) -> None:
        self.of = of

    def __eq__(self, other: object) -> bool:
        """Whether both name one object."""
        return isinstance(other, Same) and self.of is other.of

    __hash__ = None  # type: ignore[assignment]


class KeptByInputs(Generic[V]):
    """Keeps the `most` keys used last, and of each the `each` results used last; `made` counts workings-out."""

    def __init__(self, most: int, *, each: int = 2) -> None:
        self.most = most
        self.each = each
        self.made = 0
        self._kept: OrderedDict[Hashable, list[tuple[Inputs, V]]] = OrderedDict()

    def __len__(self) -> int:
        return sum(len(rows) for rows in self._kept.values())

    def get_or_make(self, key: Hashable, rests_on: Inputs, make: Callable[[], V]) -> V:
        """The result kept for a key with these inputs, or a new one.

        >>> squares = KeptByInputs[int](100)
        >>> squares.get_or_make("side", (3,), lambda: 9), squares.get_or_make("side", (3,), lambda: 0), squares.made
        (9, 9, 1)
        """
        rows = self._kept.get(key)
        if rows is None:
            rows = self._kept[key] = []
        else:
            self._kept.move_to_end(key)
            for place, row in enumerate(rows):
                if row[0] == rests_on:
                    if place:
                        del rows[place]
                        rows.insert(0, row)
                    rows[0] = (rests_on, row[1])  # the objects asked with are the ones to be asked with again
                    return row[1]
        self.made += 1
        result = make()
        rows.insert(0, (rests_on, result))
        del rows[self.each :]
        while len(self._kept) > self.most:
            self._kept.popitem(last=False)
        return result

    def clear(self) -> None:
        """Forget everything; only speed changes."""
        self._kept.clear()


class BoundedByIdentity(Generic[V, R]):
    """Keeps results for `most` objects, found by the very object: quicker than by its value.

    The object is held, so that its identity stays its own. When there are more, the older half goes.
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self.made = 0
        self._kept: dict[int, tuple[V, R]] = {}

    def __len__(self) -> int:
        return len(self._kept)

    def get(self, of: V) -> R | None:
        """What is kept for an object; None where nothing is."""
        found = self._kept.get(id(of))
        return None if found is None else found[1]

    def many(self, of: Iterable[V]) -> list[R | None]:
        """What is kept for each of several objects: quicker than one by one."""
        return [None if found is None else found[1] for found in map(self._kept.get, map(id, of))]

    def keep(self, of: V, result: R) -> None:
        """Keep a result just worked out."""
        self.made += 1
        if len(self._kept) >= self.most:
            self._kept = dict(islice(self._kept.items(), self.most // 2, None))
        self._kept.pop(id(of), None)
        self._kept[id(of)] = (of, result)

    def clear(self) -> None:
        """Forget everything; only speed changes."""
        self._kept.clear()


class KeptRows(Generic[V, R]):
    """Keeps of `most` keys the row asked for last and the result of each object in it; only others are worked out."""

    def __init__(self, most: int) -> None:
        self._kept: BoundedCache[Hashable, tuple[object, Sequence[V], list[R]]] = BoundedCache(most)

    def get_or_make(self, key: Hashable, rests_on: object, row: Sequence[V], make: Callable[[V], R]) -> list[R]:
        """A new list of the results of a row. `rests_on` is all they rest on besides: the very same object.

        >>> kept, first = KeptRows[float, float](8), [1.5, 2.5]
        >>> kept.get_or_make("twice", None, first, lambda one: 2 * one)
        [3.0, 5.0]
        >>> kept.get_or_make("twice", None, [first[0], 4.0], lambda one: 3 * one)
        [3.0, 12.0]
        """
        known = self._kept.get(key)
        if known is None or known[0] is not rests_on or len(known[1]) != len(row):
            made = [make(one) for one in row]
        else:
            made = known[2].copy()
            for at in compress(count(), map(is_not, row, known[1])):
                made[at] = make(row[at])
        self._kept.keep(key, (rests_on, row, made))
        return made.copy()


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
