"""An office with the shipped library, a firm that has typed its settings, and a price for everything (all invented)."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from uuid import UUID, uuid4

from app.config import Settings
from app.domain.basis import Basis, Firm, Price, Supplier
from app.domain.job import Measured, Phase
from app.domain.plan.shapes import rectangle
from app.interchange.library_file import load_library
from app.services import jobs, zones
from app.services.jobs import NewJob, Order, made
from app.services.office import Office, open_office
from tests.conftest import TestClock

FIRM = Firm(
    name="Brackenfold Yards",
    street="14 Kiln Road",
    owner="Maren Oduya",
    overhead={"material": Decimal("0.10"), "labor": Decimal("0.22"), "subcontract": Decimal("0.06")},
    margin=Decimal("0.16"),
    tax_rate=Decimal("0.07"),
    tax_place="Alder Ferry",
    tax_on=date(2027, 2, 1),
)


@lru_cache(maxsize=1)
def stocked_basis() -> Basis:
    library = load_library().basis()
    prices = {
        key: Price(
            material=key,
            unit_price=Decimal(3 + len(key)),
            supplier="alder-stone" if material.role in ("finish", "base", "bedding") else "mill-yard",
            low=-0.04,
            high=0.12,
            priced_on=date(2027, 2, 1),
        )
        for key, material in library.materials.items()
    }
    suppliers = {
        "alder-stone": Supplier(key="alder-stone", title="Alder Stone Yard"),
        "mill-yard": Supplier(key="mill-yard", title="Mill Yard Supply"),
    }
    stocked = replace(library, firm=FIRM, prices={**library.prices, **prices}, suppliers=suppliers)
    return replace(stocked, reminders={})  # what may be forgotten is asked in tests of its own


def stocked_office(folder: Path, basis: Basis | None = None) -> Office:
    return open_office(Settings(data=folder), basis or stocked_basis(), TestClock())


def order(what: str = "") -> Order:
    return Order(change_id=uuid4(), what=what)


def begun_job(office: Office) -> UUID:
    """A job with two phases and two zones, one taped and one a sketch."""
    job_id = jobs.begin_job(office, NewJob(name="Linnea Whitlock", town="Alder Ferry"), order())
    phases = [Phase(id=uuid4(), number=n, title=title) for n, title in ((1, "This spring"), (2, "Next year"))]
    jobs.save(office, job_id, tuple(made("phase", one) for one in phases), order())
    terrace = zones.NewZone(
        title="Dining terrace",
        kind="dining",
        outline=rectangle(18, 14),
        measured=Measured.TAPED,
        assembly="unit-pavers",
    )
    bed = zones.NewZone(
        title="Long bed", kind="planting", outline=rectangle(4, 30, at=(40, 0)), assembly="planting-bed"
    )
    for new in (terrace, bed):
        zones.add_zone(office, job_id, new, order())
    return job_id
