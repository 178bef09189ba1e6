"""What a client may choose among: options with what each adds to the price, and packages side by side.

Prices are differences of full estimates, or full estimates themselves. Nothing here tells what anything costs the firm.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from uuid import UUID

from app.domain.basis import Basis
from app.domain.costing.client_prices import Amount, client_prices
from app.domain.costing.estimate import Estimate
from app.domain.costing.options import option_differences, package_estimates
from app.domain.job import Feature, Job, Option, Package, Run, Zone, only_included
from app.domain.job.choosing import by_itself, package_now, with_package

MOST_PACKAGES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionLine:
    """An option: whether it is in the price, who initialed that, and what it adds with the others as they are."""

    option_id: UUID
    title: str
    words: str
    letters: tuple[str, ...]
    taken: bool
    initials: str
    price: Amount | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PackageColumn:
    """A package: its price as printed, and whether the job is as it has it."""

    package_id: UUID
    title: str
    words: str
    price: Amount | None
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PackageRow:
    """A zone or an option, and how each package has it: in words, or None where it has not."""

    letter: str
    title: str
    cells: tuple[str | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """Options, and packages as a table: its columns and rows."""

    options: tuple[OptionLine, ...] = ()
    packages: tuple[PackageColumn, ...] = ()
    rows: tuple[PackageRow, ...] = ()

    @property
    def any(self) -> bool:
        """Whether there is anything to choose."""
        return bool(self.options or self.packages)

    @property
    def ticked(self) -> tuple[OptionLine, ...]:
        """The options that are in the price."""
        return tuple(one for one in self.options if one.taken)

    @property
    def beside(self) -> tuple[OptionLine, ...]:
        """The options that are offered beside the price."""
        return tuple(one for one in self.options if not one.taken)

    @property
    def covered(self) -> "Choices":
        """The same without any price."""
        return replace(
            self,
            options=tuple(replace(one, price=None) for one in self.options),
            packages=tuple(replace(one, price=None) for one in self.packages),
        )


def choices(job: Job, basis: Basis, worked: Estimate) -> Choices:
    """The options and packages of a job with their prices. `worked` is the estimate of the job as it stands."""
    if not job.options and not job.packages:
        return Choices()
    prices, differences = client_prices(job, worked), option_differences(job, basis, worked)
    packages = job.packages[:MOST_PACKAGES]
    return Choices(
        options=tuple(
            _option(job, option, prices.amount(differences[option.id].cents)) for option in offered_options(job)
        ),
        packages=_columns(job, basis, packages),
        rows=tuple(_rows(job, packages)) if packages else (),
    )


def offered_options(job: Job) -> tuple[Option, ...]:
    """The options that hold something which is there."""
    return tuple(option for option in job.options if next(_held(job, option), None) or _way(job, option))


def option_title(job: Job, option: Option) -> str:
    """What an option is called: its own title, else the names of what it holds, or of its way."""
    return option.title or _way(job, option) or ", ".join(_name(one) for one in _held(job, option)) or "Option"


def _way(job: Job, option: Option) -> str:
    way = next((one for one in job.alternatives if one.id == option.way_id), None)
    zone = next((one for one in job.zones if way and one.id == way.zone_id), None)
    return f"{zone.title}: {way.title}" if way and zone else ""


def _held(job: Job, option: Option) -> Iterator[Zone | Run | Feature]:
    things: tuple[Zone | Run | Feature, ...] = (*job.zones, *job.runs, *job.features)
    return (one for one in things if one.id in option.thing_ids)


def _name(thing: Zone | Run | Feature) -> str:
    count = f" × {thing.count}" if isinstance(thing, Feature) and thing.count > 1 else ""
    return f"{thing.title}{count}"


def _option(job: Job, option: Option, price: Amount | None) -> OptionLine:
    return OptionLine(
        option_id=option.id,
        title=option_title(job, option),
        words=option.words,
        letters=letters_of(job, option),
        taken=option.taken,
        initials=option.initials,
        price=price,
    )


def letters_of(job: Job, option: Option) -> tuple[str, ...]:
    """The zones an option is about, by their letters."""
    zones = {one.id if isinstance(one, Zone) else one.zone_id for one in _held(job, option)}
    zones |= {one.zone_id for one in job.alternatives if one.id == option.way_id}
    return tuple(zone.letter for zone in job.zones if zone.id in zones)


def _columns(job: Job, basis: Basis, packages: tuple[Package, ...]) -> tuple[PackageColumn, ...]:
    worked = package_estimates(replace(job, packages=packages), basis)
    return tuple(
        PackageColumn(
            package_id=one.id,
            title=one.title,
            words=one.words,
            price=client_prices(with_package(job, one), worked[one.id]).together,
            chosen=package_now(job, one),
        )
        for one in packages
    )


def _rows(job: Job, packages: tuple[Package, ...]) -> Iterator[PackageRow]:
    """A row for each zone and each option that some package has."""
    jobs = [only_included(with_package(job, one)) for one in packages]
    for zone in by_itself(job):
        several = sum(1 for one in job.alternatives if one.zone_id == zone.id) > 1
        cells = tuple(_cell(one, zone.id, several) for one in jobs)
        if any(cell is not None for cell in cells):
            yield PackageRow(letter=zone.letter, title=zone.title, cells=cells)
    for option in offered_options(job):
        cells = tuple("" if option.id in one.option_ids else None for one in packages)
        if any(cell is not None for cell in cells):
            yield PackageRow(letter="", title=option_title(job, option), cells=cells)


def _cell(job: Job, zone_id: UUID, several: bool) -> str | None:
    """How a package does a zone: its way by name where there are several."""
    zone = next((one for one in job.zones if one.id == zone_id), None)
    way = job.chosen(zone) if zone else None
    return None if zone is None else way.title if way and several else ""
