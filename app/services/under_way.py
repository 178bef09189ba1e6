"""Work of the worker that a page waits for: begun once, looked at while it goes on, stopped when the person says so."""

import asyncio
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from uuid import UUID

from app.domain.errors import OutlayError
from app.services.office import Office

KEPT = 40
WAIT = 0.4  # s that an answer waits before it says how far the work is

Told = Callable[[float, str], None]
Key = tuple[str, UUID]  # what is worked out, and of which job


@dataclass(slots=True, kw_only=True)
class UnderWay:
    """How far a work is. `of` is what it was begun on: on anything else it is begun anew."""

    of: object = field(repr=False)
    share: float = 0.0
    words: str = ""
    stopped: bool = False  # by the person: it does not begin again by itself
    refused: OutlayError | None = None
    work: asyncio.Task[None] | None = field(default=None, repr=False)

    @property
    def busy(self) -> bool:
        """Whether it goes on."""
        return self.work is not None and not self.work.done() and not self.stopped

    @property
    def percent(self) -> int:
        """How far it is."""
        return round(self.share * 100)


def now(office: Office, key: Key, of: object) -> UnderWay | None:
    """The work as it stands; None where none was begun on this."""
    found = _all(office).get(key)
    return found if found is not None and found.of is of else None


async def look(
    office: Office, key: Key, of: object, work: Callable[[Told], Awaitable[object]], *, wait: float | None = WAIT
) -> UnderWay:
    """Begin a work that is not under way, and wait for it (None: until it is done); a stopped one stays stopped.

    Raises: what the work raises, once.
    """
    one = now(office, key, of) or _begin(office, key, of, work)
    if one.work is not None and one.busy:
        await asyncio.wait({one.work}, timeout=wait)
    if one.refused is not None:
        _all(office).pop(key, None)
        raise one.refused
    return one


def stop(office: Office, key: Key) -> None:
    """Stop a work, where it still goes on: its process ends, and nothing comes of it."""
    one = _all(office).get(key)
    if one is not None and one.busy and one.work is not None:
        one.stopped = True
        one.work.cancel()


def again(office: Office, key: Key) -> None:
    """Let a stopped work be begun once more."""
    one = _all(office).get(key)
    if one is not None and not one.busy:
        del _all(office)[key]


def _begin(office: Office, key: Key, of: object, work: Callable[[Told], Awaitable[object]]) -> UnderWay:
    works = _all(office)
    if key in works:
        _end(works.pop(key))
    works[key] = one = UnderWay(of=of)
    while len(works) > KEPT:
        _end(works.popitem(last=False)[1])

    def told(share: float, words: str) -> None:
        one.share, one.words = share, words

    async def run() -> None:
        try:
            await work(told)
        except OutlayError as wrong:
            one.refused = wrong

    one.work = asyncio.get_running_loop().create_task(run())
    return one


def _end(one: UnderWay) -> None:
    if one.busy and one.work is not None:
        one.work.cancel()


def _all(office: Office) -> OrderedDict[Key, UnderWay]:
    found: OrderedDict[Key, UnderWay] = office.database.memory.setdefault("under way", OrderedDict())
    return found
