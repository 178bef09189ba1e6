"""A supplier's workbook of 5,000 rows brought into a book of 5,000 materials: read, compared, taken as one change.

Beside a bare floor: the same workbook read by the library alone, and as many rows written by plain statements in one
transaction. Processor time of this process and of the worker. Run alone: `python -m bench price_list`.
"""

import asyncio
import os
import tempfile
import time
from collections.abc import Callable
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from uuid import uuid4

from openpyxl import Workbook, load_workbook
from sqlalchemy import text

from app.config import Settings
from app.db.tables.things import TABLES
from app.domain.basis import Basis, Material, Price
from app.domain.change import Edit
from app.services import jobs, price_lists
from app.services.changes import fields_of
from app.services.jobs import Order
from app.services.office import Office, open_office
from app.services.price_history import change_of_prices
from app.services.price_list_taking import Picks, begin_taking
from bench import Result

ROWS = 5_000
TARGET = 3.0  # seconds
MOST_TIMES = 4.0  # the floor


def spent(action: Callable[[], object]) -> float:
    """Processor seconds of an action and of the processes it waited for."""
    before = sum(os.times()[:4])
    action()
    return sum(os.times()[:4]) - before


def workbook() -> bytes:
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Prices")
    sheet.append(["Item no.", "Description", "Unit", "Price", "Valid until", "Per pallet"])
    for n in range(ROWS):
        sheet.append(
            [f"AF-{n}", f"Stone number {n}, sawn on {n % 7} sides", "ea", round(3 + n / 100 * 1.05, 2), "2030-06-30", 1]
        )
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def shop(folder: Path) -> Office:
    names = {f"stone-{n}": f"Stone number {n}, sawn on {n % 7} sides" for n in range(ROWS)}
    shipped = Basis(
        materials={key: Material(key=key, title=name, role="finish", buy="each") for key, name in names.items()}
    )
    office = open_office(Settings(data=folder), shipped)
    prices = [Price(material=f"stone-{n}", unit_price=Decimal(3) + Decimal(n) / 100) for n in range(ROWS)]
    edits = tuple(
        Edit(kind="price", thing_id=p.material, version=0, before=None, after=fields_of(p, "price")) for p in prices
    )
    jobs.save(office, None, edits, Order(change_id=uuid4()))
    return office


async def look(office: Office, content: bytes) -> price_lists.PriceList:
    one = await price_lists.open_list(office, content, "bench.xlsx")
    while (await price_lists.look(office, one.id)).busy:
        pass
    return one


async def saved(office: Office, one: price_lists.PriceList, picks: Picks) -> int:
    begin_taking(office, one.id, picks, Order(change_id=uuid4()))
    if one.work is not None:
        await one.work
    change_id = price_lists.told(one)
    return len(change_of_prices(office, change_id).edits) if change_id else 0


def ours(office: Office, content: bytes) -> tuple[float, float]:
    """Seconds until the rows are on the page, and until they are saved."""
    found: list[price_lists.PriceList] = []
    looking = spent(lambda: found.append(asyncio.run(look(office, content))))
    picks = Picks(seen=found[0].seen, doubtful={})
    taken: list[int] = []
    taking = spent(lambda: taken.append(asyncio.run(saved(office, found[0], picks))))
    if taken[0] < ROWS * 0.99:
        raise RuntimeError(f"only {taken[0]} rows were taken")
    return looking, taking


def floor(office: Office, content: bytes) -> float:
    """Seconds of the bare library and of bare statements."""
    column = TABLES["price"].name

    def bare() -> None:
        rows = list(load_workbook(BytesIO(content), read_only=True).active.iter_rows(values_only=True))
        with office.database.write() as connection:
            for n, row in enumerate(rows[1:]):
                where = {"price": str(row[3]), "key": f"stone-{n}"}
                connection.execute(text(f"update {column} set unit_price = :price where thing_id = :key"), where)

    return spent(bare)


def run() -> list[Result]:
    with tempfile.TemporaryDirectory() as folder:
        office = shop(Path(folder))
        content = workbook()
        start = time.perf_counter()
        looking, taking = ours(office, content)
        wall = time.perf_counter() - start
        bare = floor(office, content)
        office.database.close()
    return [
        Result(name="price list, 5,000 rows: read and compared", value=looking, unit="s"),
        Result(name="price list, 5,000 rows: saved and recorded", value=taking, unit="s"),
        Result(
            name="price list, 5,000 rows: in all",
            value=looking + taking,
            unit="s",
            note=f"target {TARGET:g} s; {wall:.1f} s by the wall",
        ),
        Result(
            name="price list over its floor",
            value=(looking + taking) / bare,
            unit="×",
            most=MOST_TIMES,
            note=f"floor {bare:.2f} s",
        ),
    ]
