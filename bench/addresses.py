"""An address search over 10,000 jobs, beside the bare SQL that reads the parts of words and one page of jobs."""

import tempfile
from pathlib import Path

from sqlalchemy import text

from app.config import Settings
from app.db.repositories import addresses
from app.domain.basis import Basis
from app.services.address_search import find
from app.services.office import Office, open_office
from bench import Result
from bench.estimate import best
from bench.home import fill

STREETS = (
    "Quarry Bend",
    "Willow Lane",
    "Orchard Street",
    "Mill Race Road",
    "Ferry Street",
    "Larkspur Court",
    "Old Post Road",
)
SURNAMES = ("Whitlock", "Asante", "Lindqvist", "Oduya", "Marchetti", "Castellan", "Brandvold", "Ferreira", "Novak")
HAS = (
    "SELECT address_word.job_id FROM address_word WHERE address_word.word IN "
    "(SELECT address_part.word FROM address_part WHERE address_part.part >= :{0} AND address_part.part < :{0}_end)"
)
BARE = text(
    "SELECT job.thing_id, job.number, job.title, job.street, job.town FROM job WHERE job.firm_id = :firm "
    f"AND job.thing_id IN ({HAS.format('street')} INTERSECT {HAS.format('house')}) ORDER BY job.number DESC LIMIT 200"
)


def run() -> list[Result]:
    """The search for a house and a piece of its street, for a common piece, and the bare query."""
    with tempfile.TemporaryDirectory() as folder:
        office = open_office(Settings(data=Path(folder)), Basis())
        fill(office, street=lambda n: f"{n % 900 + 1} {STREETS[n % 7]}", name=lambda n: f"Ada {SURNAMES[n % 9]}")
        with office.database.write() as connection:
            addresses.build(connection, office.firm_id)
        bare, found, common = best(
            lambda: _bare(office), lambda: find(office, "127 larksp"), lambda: find(office, "street fer")
        )
        hits = len(find(office, "127 larksp"))
        office.database.close()
    return [
        Result(name="floor: bare SQL of the same two fragments", value=bare, unit="ms"),
        Result(name="address search over 10,000 jobs", value=found, unit="ms", most=50, note=f"{hits} hits"),
        Result(name="the same of pieces that thousands have", value=common, unit="ms", most=50),
        Result(name="address search over bare SQL", value=found / bare, unit="×", most=8),
    ]


def _bare(office: Office) -> int:
    given = {"firm": office.firm_id, "street": "larksp", "street_end": "larkspz", "house": "127", "house_end": "127z"}
    with office.database.read() as connection:
        return len(connection.execute(BARE, given).all())
