"""A supplier's price list on its way into the price book: opened, tried out, looked at, taken as one change.

An opened list is kept in memory only, a few at a time: a file that is not taken leaves nothing behind.
"""

import asyncio
from collections import OrderedDict
from dataclasses import dataclass, field
from hashlib import sha256
from uuid import UUID

from app.db.disk import DiskTrouble
from app.db.repositories import record
from app.domain.errors import BadValue, NotFound, OutlayError
from app.domain.pricebook import DryRun, Reading, Table, book_of
from app.interchange.price_lists_in import answer_of, list_payload
from app.services import prices
from app.services.office import Office
from app.worker import run_in_worker

KEPT = 4
WAIT = 0.4  # s that a page waits for a list before it says how far it is


@dataclass(slots=True, kw_only=True)
class PriceList:
    """One opened list: its table, how it is read, what came of trying it out. `share` says how far the work is."""

    id: str
    name: str
    content: bytes = field(default=b"", repr=False)
    table: Table | None = field(default=None, repr=False)
    reading: Reading | None = None
    run: DryRun | None = field(default=None, repr=False)
    seen: str = ""  # names this trial and the price book it was held against
    refused: OutlayError | None = None
    share: float = 0.0
    words: str = ""
    tries: int = 0
    saved_as: UUID | None = None  # the change its rows were saved as, until that is told
    not_saved: OutlayError | None = None  # why they were not
    work: asyncio.Task[None] | None = field(default=None, repr=False)

    @property
    def busy(self) -> bool:
        """Whether it is still read, compared or saved."""
        return self.work is not None and not self.work.done()

    @property
    def percent(self) -> int:
        """How far the work is."""
        return round(self.share * 100)


async def open_list(office: Office, content: bytes, name: str) -> PriceList:
    """Take a file in and begin to read it."""
    one = PriceList(id=sha256(content).hexdigest()[:32], name=" ".join(name.split())[:80] or "a list", content=content)
    lists = _lists(office)
    lists[one.id] = one
    lists.move_to_end(one.id)
    while len(lists) > KEPT:
        _, gone = lists.popitem(last=False)
        _stop(gone)
    _begin(office, one)
    return one


async def look(office: Office, list_id: str, wait: float = WAIT) -> PriceList:
    """A list as far as it is. One whose price book has changed since it was tried out is tried out again.

    Raises: NotFound where it is no longer at hand.
    """
    one = list_at_hand(office, list_id)
    if not one.busy and not one.saved_as and one.run is not None and one.seen != seen_now(office, one):
        _begin(office, one)
    if one.busy and one.work is not None:
        await asyncio.wait({one.work}, timeout=wait)
    return one


async def look_while_saved(office: Office, list_id: str) -> PriceList:
    """A list that is being saved, after a moment; what comes of it later is left to be told.

    Raises: DiskTrouble where the disk did not take it.
    """
    one = await look(office, list_id)
    if isinstance(one.not_saved, DiskTrouble):
        wrong, one.not_saved = one.not_saved, None
        raise wrong
    return one


def told(one: PriceList) -> UUID | None:
    """The change that a list was saved as, said once; where it was not saved, the reason is left to be told."""
    saved, one.saved_as = one.saved_as, None
    return saved


def list_at_hand(office: Office, list_id: str) -> PriceList:
    """An opened list. Raises: NotFound."""
    one = _lists(office).get(list_id)
    if one is None:
        raise NotFound("This list is no longer at hand; send the file again. Nothing was changed.")
    return one


def read_so(office: Office, list_id: str, reading: Reading) -> PriceList:
    """Read a list in another way, and try it out again."""
    one = list_at_hand(office, list_id)
    _stop(one)
    one.reading = reading
    _begin(office, one)
    return one


def seen_now(office: Office, one: PriceList) -> str:
    """Names what a page about this list shows: the trial, and the price book it was held against."""
    with office.database.read() as connection:
        mark = record.mark(connection, None)
    return f"{one.tries}.{mark.hash[:16] if mark else ''}"


def _lists(office: Office) -> OrderedDict[str, PriceList]:
    found: OrderedDict[str, PriceList] = office.database.memory.setdefault("price lists", OrderedDict())
    return found


def _stop(one: PriceList) -> None:
    if one.busy and one.work is not None:
        one.work.cancel()


def _begin(office: Office, one: PriceList) -> None:
    one.run, one.refused, one.share, one.words = None, None, 0.0, ""
    one.tries += 1
    one.work = asyncio.get_running_loop().create_task(_try_out(office, one))


async def _try_out(office: Office, one: PriceList) -> None:
    seen = seen_now(office, one)
    book = book_of(office.basis(), prices.today_of(office))
    payload = list_payload(one.table or one.content, one.reading, book)

    def heard(share: float, words: str) -> None:
        one.share, one.words = share, words

    try:
        found = answer_of(await run_in_worker("price list", payload, progress=heard))
    except OutlayError as wrong:
        one.refused = wrong
        return
    one.table, one.reading, one.run, one.content = found.table, found.reading, found.run, b""
    one.seen = seen
    one.refused = BadValue(found.sentence, field=found.field) if found.sentence else None
