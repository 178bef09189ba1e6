"""A change of very many things is one change: recorded, undone, refused as a whole, and the loop goes on meanwhile."""

import asyncio
from decimal import Decimal
from pathlib import Path
from uuid import uuid4

import pytest

from app.db.repositories import record, record_check
from app.domain.basis import Material, Price
from app.domain.change import Edit
from app.domain.errors import BadValue, Refused
from app.services import jobs, prices
from app.services.changes import fields_of
from app.services.jobs import Order, changed
from app.services.large_changes import PIECE, save_in_pieces, undo_in_pieces
from app.services.office import Office, open_office
from tests.stocked import order, stocked_office

COUNT = 3 * PIECE + 7


@pytest.fixture
def office(tmp_path: Path):
    opened = stocked_office(tmp_path / "data")
    yield opened
    opened.database.close()


def edits_of(count: int = COUNT, price: str = "2.5") -> list[Edit]:
    made = []
    for n in range(count):
        material = Material(key=f"stone-{n}", title=f"Stone {n}", role="finish", buy="each")
        cost = Price(material=material.key, unit_price=Decimal(price))
        made += [_new("material", material.key, material), _new("price", material.key, cost)]
    return made


def _new(kind: str, key: str, value: object) -> Edit:
    return Edit(kind=kind, thing_id=key, version=0, before=None, after=fields_of(value, kind))


def read_anew(office: Office):
    """The basis as the database alone tells it."""
    return open_office(office.settings, office.shipped).basis()


def test_what_is_taken_in_is_what_the_database_holds_and_undo_takes_all_of_it_back(office: Office) -> None:
    before = office.basis()
    asyncio.run(save_in_pieces(office, edits_of(), order("a list")))
    assert office.basis().prices["stone-5"].unit_price == Decimal("2.5")
    assert office.basis() == read_anew(office)
    rise = [changed("price", f"stone-{n}", 1, {"unit_price": Decimal(3)}) for n in range(COUNT)]
    asyncio.run(save_in_pieces(office, rise, order("a rise")))
    assert office.basis().prices["stone-9"].unit_price == 3
    asyncio.run(undo_in_pieces(office, uuid4()))
    asyncio.run(undo_in_pieces(office, uuid4()))
    assert office.basis() == before == read_anew(office)
    with office.database.read() as connection:
        assert record_check.verify(connection) is None


def test_entry_is_the_same_as_of_a_change_saved_at_once(tmp_path: Path) -> None:
    bodies = []
    for name in ("at once", "in pieces"):
        office = stocked_office(tmp_path / name)
        told = Order(change_id=uuid4(), what="a list")
        if name == "at once":
            jobs.save(office, None, tuple(edits_of()), told)
        else:
            asyncio.run(save_in_pieces(office, edits_of(), told))
        with office.database.read() as connection:
            entry = record.find(connection, str(told.change_id))
        change = entry.change()
        body = entry.body.replace(str(told.change_id), "").replace(change.salt, "")
        bodies.append((change.edits, body, entry.answer["versions"]))
        office.database.close()
    assert bodies[0] == bodies[1]


def test_loop_goes_on_between_the_pieces_and_is_told_how_far_it_is(office: Office) -> None:
    turns: list[int] = []
    heard: list[int] = []

    async def meanwhile() -> None:
        saving = asyncio.create_task(save_in_pieces(office, edits_of(), order(), heard.append))
        while not saving.done():
            turns.append(len(heard))
            await asyncio.sleep(0)
        await saving

    asyncio.run(meanwhile())
    assert heard[-1] == 2 * COUNT
    assert len(set(turns)) >= 6, "somebody else had a turn between any two pieces"


def test_book_that_is_changed_meanwhile_loses_nothing_and_takes_nothing(office: Office) -> None:
    async def both() -> None:
        saving = asyncio.create_task(save_in_pieces(office, edits_of(), order()))
        await asyncio.sleep(0)
        version = prices.price_row(office, "base-stone-34")[1].version("price", "base-stone-34")
        prices.set_price(office, "base-stone-34", version, {"unit_price": Decimal(41)}, order())
        await saving

    with pytest.raises(Refused, match="changed meanwhile"):
        asyncio.run(both())
    assert office.basis().prices["base-stone-34"].unit_price == 41
    assert "stone-0" not in office.basis().materials
    assert office.basis() == read_anew(office)


def test_one_edit_that_does_not_fit_refuses_all(office: Office) -> None:
    wrong = [*edits_of(), Edit(kind="price", thing_id="last", version=0, before=None, after={"unit_price": "a lot"})]
    with pytest.raises(BadValue):
        asyncio.run(save_in_pieces(office, wrong, order()))
    assert "stone-0" not in office.basis().materials
    assert office.basis() == read_anew(office)


def test_same_change_sent_twice_is_saved_once(office: Office) -> None:
    told = order("a list")
    first = asyncio.run(save_in_pieces(office, edits_of(3), told))
    again = asyncio.run(save_in_pieces(office, edits_of(3), told))
    assert (again.again, again.versions) == (True, first.versions)
