"""Why a price is a range: told to us line by line, and to the client in sentences of his own."""

from dataclasses import replace
from datetime import date

from app.domain.costing.estimate import estimate
from app.domain.costing.firmness import reasons_for_client
from app.domain.job import Job, Measured
from tests.domain.takeoff.yards import JOB
from tests.stocked import stocked_basis


def sketched(*numbers: int) -> Job:
    ways = tuple(
        replace(one, measured=Measured.SKETCH if at in numbers else Measured.TAPED)
        for at, one in enumerate(JOB.alternatives)
    )
    return replace(JOB, alternatives=ways, runs=())


def test_client_reads_what_is_still_to_be_measured_and_seen() -> None:
    zone = JOB.zones[0]
    told = reasons_for_client(replace(sketched(0), site=replace(JOB.site, seen_on=None)))
    assert told == (
        f"Measured on a sketch so far: {zone.letter} {zone.title}. We tape it before the price is firm.",
        "We have not seen the yard yet.",
    )


def test_only_some_places_are_named_and_the_rest_counted() -> None:
    from uuid import UUID

    zones = tuple(replace(JOB.zones[0], id=UUID(int=900 + n), letter=chr(65 + n), title="Bed") for n in range(7))
    job = replace(sketched(), zones=zones, alternatives=(), site=replace(JOB.site, seen_on=date(2027, 3, 1)))
    assert reasons_for_client(job) == (
        "Measured on a sketch so far: A Bed, B Bed, C Bed, D Bed and 3 more. We tape it before the price is firm.",
    )


def test_nothing_rough_still_says_that_something_is_open() -> None:
    job = replace(sketched(), zones=JOB.zones[:1], site=replace(JOB.site, seen_on=date(2027, 3, 1)))
    assert reasons_for_client(job) == ("Something is still to be chosen or priced.",)


def test_no_sentence_for_us_is_said_to_the_client() -> None:
    ours = estimate(sketched(0, 1), stocked_basis()).reasons
    assert ours
    assert not set(ours) & set(reasons_for_client(sketched(0, 1)))
