"""What the sheet of options and packages shows: each with its price, and what may still be offered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from app.domain.choices import Choices, choices
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from app.domain.costing.options import Difference, option_difference, option_differences
from app.domain.errors import NotFound
from app.domain.job import Job, Option, Package
from app.domain.job.choosing import base_ways, by_itself, with_package
from app.domain.takeoff.trace import Trace
from app.services.office import Office
from app.services.sheets import Sheet, kept

Named = Sequence[tuple[str, str]]  # id as text, words
GONE = "This is no option or package of the job any more. Open the page again."


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoicesSheet:
    """Options and packages with their prices; `free` names what is part of no option yet, by sort."""

    choices: Choices
    differences: Mapping[UUID, Difference]
    options: Mapping[UUID, Option]
    packages: Mapping[UUID, Package]
    free: Sequence[tuple[str, Named]]
    left_out: Named
    zones: Named
    ways: Named


def choices_sheet(office: Office, view: Sheet) -> ChoicesSheet:
    """What may be chosen in a job; kept while the job and its basis stand."""
    return kept(office, ("choices", view.job.head.id), view.opened, lambda: _choices_sheet(view))


def _choices_sheet(view: Sheet) -> ChoicesSheet:
    job, basis, worked = view.job, view.basis, view.estimate
    return ChoicesSheet(
        choices=choices(job, basis, worked),
        differences=option_differences(job, basis, worked),
        options={one.id: one for one in job.options},
        packages={one.id: one for one in job.packages},
        free=_free(job),
        left_out=[(str(zone.id), _lettered(zone.letter, zone.title)) for zone in job.zones if zone.left_out],
        zones=[(str(zone.id), _lettered(zone.letter, zone.title)) for zone in by_itself(job)],
        ways=_ways(job),
    )


def _lettered(letter: str, title: str) -> str:
    return f"{letter} {title}".strip()


def _free(job: Job) -> list[tuple[str, Named]]:
    held = {one for option in job.options for one in (*option.thing_ids, option.way_id)}
    chosen = {one.id for one in job.chosen_by_zone().values()}
    letters = {zone.id: zone.letter for zone in job.zones}
    ways = [
        (str(one.id), _lettered(letters.get(one.zone_id, ""), one.title))
        for one in job.alternatives
        if one.id not in held and one.id not in chosen
    ]
    things = [
        ("Zones", [(str(one.id), _lettered(one.letter, one.title)) for one in job.zones if one.id not in held]),
        ("Other ways", ways),
        ("Things", [(str(one.id), one.title) for one in job.features if one.id not in held]),
        ("Lines", [(str(one.id), one.title) for one in job.runs if one.id not in held]),
    ]
    return [(title, named) for title, named in things if named]


def _ways(job: Job) -> list[tuple[str, str]]:
    """The ways of the zones that have more than one which is no option."""
    found = [(zone, base_ways(job, zone)) for zone in job.zones]
    return [(str(way.id), f"{zone.letter} {way.title}") for zone, ways in found if len(ways) > 1 for way in ways]


def explain_option(_office: Office, view: Sheet, key: str) -> Trace:
    """What an option adds to the price, all others as they are. Raises: NotFound."""
    option = next((one for one in view.job.options if str(one.id) == key), None)
    if option is None:
        raise NotFound(GONE)
    found = option_difference(view.job, view.basis, view.estimate, option.id)
    return explain_difference(found, view.basis.firm.currency)


def explain_difference(found: Difference, unit: str) -> Trace:
    """A difference with both prices it lies between."""
    steps = tuple(
        Trace(label=label, expression="sum of the steps of a full estimate", filled="", result=cents / 100, unit=unit)
        for label, cents in (("Price with it", found.with_cents), ("Price without it", found.without_cents))
    )
    told = "price of the job with it − price without it, all else as it stands"
    return Trace(label="Difference", expression=told, filled="", result=found.cents / 100, unit=unit, steps=steps)


def explain_package(_office: Office, view: Sheet, key: str) -> Trace:
    """The full price of a package. Raises: NotFound."""
    package = next((one for one in view.job.packages if str(one.id) == key), None)
    if package is None:
        raise NotFound(GONE)
    job = with_package(view.job, package)
    worked = estimate(job, view.basis)
    return explain(job, view.basis, "price" if worked.firm else "range", worked)
