"""A small job: one paved zone of 18 by 16 ft beside the house, a run, a feature, and what is placed on them."""

from dataclasses import replace
from uuid import UUID

from app.domain.job import (
    Alternative,
    Client,
    Existing,
    Feature,
    Head,
    Job,
    Phase,
    PlaceKind,
    Run,
    RunKind,
    Site,
    Work,
    Zone,
)
from app.domain.plan.shapes import rectangle


def key(number: int) -> UUID:
    return UUID(int=number)


TERRACE = Zone(id=key(10), letter="A", title="Terrace", chosen_id=key(11))
PLAIN = Alternative(id=key(11), zone_id=key(10), outline=rectangle(18, 16))
OTHER = Alternative(id=key(12), zone_id=key(10), outline=rectangle(20, 20), position=1)
CONDUIT = Run(id=key(20), title="Conduit", kind=RunKind.CONDUIT, points=((0, 0), (30, 0), (30, 40)))
GRILL = Feature(id=key(30), title="Grill", count=2, x=1, y=1)
SLAB = Existing(id=key(40), title="Old slab", kind="concrete", outline=rectangle(10, 12), thickness=4 / 12)
FIRST, SECOND = Phase(id=key(51), number=1), Phase(id=key(52), number=2)


def work(number: int, assembly: str = "unit-pavers", place=PlaceKind.ALTERNATIVE, place_id=PLAIN.id, **more) -> Work:
    return Work(id=key(number), place=place, place_id=place_id, assembly=assembly, **more)


JOB = Job(
    head=Head(id=key(1), client_id=key(2), title="Birch Lane"),
    client=Client(id=key(2), name="Linnea Whitlock"),
    site=Site(id=key(3)),
    zones=(TERRACE,),
    alternatives=(PLAIN, OTHER),
    runs=(CONDUIT,),
    features=(GRILL,),
    existing=(SLAB,),
    works=(work(100),),
)


def job_with(**more) -> Job:
    return replace(JOB, **more)
