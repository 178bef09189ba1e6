"""The plant table of the firm: the shipped rows, those it corrected, and species of its own."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from app.db.repositories.planted import jobs_planting
from app.domain.basis import Basis, Plant
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.plant import KINDS, refuse_unsound
from app.services import book
from app.services.book import Own
from app.services.jobs import Order
from app.services.office import Office
from app.services.prices import free_key

# what a row cannot be without, and the input a sentence about it belongs beside
NEEDED = {"height": "height.least", "spread": "spread.least", "zones": "zones.coldest", "sun": "sun"}
MOST_SHOWN = 60  # rows of one page: a table of hundreds is found by name


@dataclass(frozen=True, slots=True, kw_only=True)
class TableRow:
    """A plant as the table has it; `own` where the firm added or corrected it, `shipped` the row it came with."""

    plant: Plant
    own: bool
    shipped: Plant | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantTable:
    """The rows that were asked for; how many were found, how many there are, how many are the firm's."""

    rows: Sequence[TableRow]
    found: int
    count: int
    ours: int
    own: Own


def plant_table(office: Office, words: str = "", kind: str = "", *, ours: bool = False) -> PlantTable:
    """Plants whose names, region or wants hold every word, of one kind or all; `ours` alone, if wanted."""
    versions, basis = book.own(office, "plant"), office.basis()
    rows = [_row(office, one, versions) for one in found_plants(basis, words, kind)]
    shown = [one for one in rows if one.own or not ours]
    return PlantTable(
        rows=shown[:MOST_SHOWN],
        found=len(shown),
        count=len(basis.plants),
        ours=sum(bool(versions.version("plant", key)) for key in basis.plants),
        own=versions,
    )


def found_plants(basis: Basis, words: str, kind: str = "") -> list[Plant]:
    """Plants of a table whose names, native region or wants hold every word, by kind, then by name."""
    wanted = words.casefold().split()
    found = [
        one
        for one in basis.plants.values()
        if (not kind or one.kind == kind) and all(word in _text(one) for word in wanted)
    ]
    return sorted(found, key=lambda one: (list(KINDS).index(one.kind), one.botanical))


def _text(one: Plant) -> str:
    told = (one.botanical, one.common, one.spanish, one.native, KINDS.get(one.kind, ""), f"{one.water} water")
    return " ".join((*told, *one.sun, *one.colors)).casefold()


def _row(office: Office, one: Plant, versions: Own) -> TableRow:
    own = bool(versions.version("plant", one.key))
    return TableRow(plant=one, own=own, shipped=office.shipped.plants.get(one.key))


def open_plant(office: Office, key: str) -> tuple[TableRow, Own]:
    """One plant of the table. Raises: NotFound."""
    versions = book.own(office, "plant")
    return _row(office, _known(office, key), versions), versions


def add_plant(office: Office, fields: Mapping[str, Any], order: Order) -> str:
    """A species of the firm's own; returns its key. Raises: BadValue for one that is there, or cannot be planted by."""
    plants = office.basis().plants
    named = fields["botanical"].strip()
    _refuse_twice(named, plants)
    if lacking := next((name for name in NEEDED if name not in fields), ""):
        raise BadValue("A row needs its grown height and width, its sun and its zones.", field=NEEDED[lacking])
    plant = Plant(**{**fields, "botanical": named, "key": free_key(named, plants)})
    refuse_unsound(plant)
    book.make(office, "plant", plant.key, plant, replace(order, what=f"New plant: {plant.botanical}"[:60]))
    return plant.key


def correct_plant(office: Office, key: str, version: int, fields: Mapping[str, Any], order: Order) -> None:
    """Fields of a plant, shipped or the firm's own. Raises: NotFound, Stale, BadValue."""
    now = _known(office, key)
    plant = replace(now, **fields)
    _refuse_twice(plant.botanical, {name: one for name, one in office.basis().plants.items() if name != key})
    refuse_unsound(plant)
    book.set_fields(office, "plant", key, version, fields, replace(order, what=f"Plant: {plant.botanical}"[:60]))


def as_shipped(office: Office, key: str, order: Order) -> bool:
    """The shipped row again; a species of the firm's own goes out of the table. Whether the shipped one stands now.

    Raises: NotFound; Refused for a species of its own that stands on lists of jobs.
    """
    now, shipped = _known(office, key), key in office.shipped.plants
    with office.database.read() as connection:
        on_lists = [] if shipped else jobs_planting(connection, office.firm_id, key)
    if on_lists:
        jobs = ", ".join(str(one) for one in on_lists)
        raise Refused(f"{now.botanical} stands on plant lists (of job {jobs}). Take it off these first, or correct it.")
    book.give_up(office, "plant", key, replace(order, what=f"Out of the table: {now.botanical}"[:60]))
    return shipped


def _known(office: Office, key: str) -> Plant:
    found = office.basis().plants.get(key)
    if found is None:
        raise NotFound("The plant table has no such plant (any more). Look for it in the list.")
    return found


def _refuse_twice(botanical: str, others: Mapping[str, Plant]) -> None:
    known = next((one for one in others.values() if one.botanical.casefold() == botanical.casefold()), None)
    if known:
        raise BadValue(
            f"{known.botanical} ({known.common}) is in the table already. Correct that row.", field="botanical"
        )
