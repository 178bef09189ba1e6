"""The worksheet of a class of people: a year of pay from wage to the hour that a job pays for."""

from dataclasses import dataclass, replace
from decimal import Decimal

from app.domain.basis import LaborClass
from app.domain.costing.crew_day import counts_the_yard
from app.domain.costing.explain_wage import explain_year
from app.domain.costing.labor import cost_per_hour, has_cost
from app.domain.costing.pay_year import YearCost, check_year, fits, outdated_caps, starting_year, year_cost
from app.domain.errors import NotFound
from app.domain.pay import BurdenItem, PayYear
from app.domain.takeoff.trace import Trace
from app.interchange.starting_pay import starting_pay
from app.services import book
from app.services.book import Own
from app.services.jobs import Order
from app.services.office import Office


@dataclass(frozen=True, slots=True, kw_only=True)
class WageSheet:
    """A class's worksheet as the page shows it; until it is `saved` its year is a beginning and prices nothing."""

    key: str
    labor: LaborClass
    year: PayYear
    worked: YearCost | None  # None: the hours do not add up
    per_hour: Decimal | None  # what prices now
    saved: bool
    outdated: tuple[BurdenItem, ...]  # items whose cap is of an earlier year
    counted: bool  # the days of jobs pay for yard and road
    own: Own


def wage_sheet(office: Office, key: str) -> WageSheet:
    """Read a class's worksheet. Raises: NotFound."""
    labor = _labor(office, key)
    counted = _counted(office, labor)
    year = labor.year or starting_year(labor, starting_pay(office.settings.library))
    return WageSheet(
        key=key,
        labor=labor,
        year=year,
        worked=year_cost(labor.wage, year, day_counts=counted) if fits(year) else None,
        per_hour=cost_per_hour(labor, day_counts=counted) if has_cost(labor) else None,
        saved=labor.year is not None,
        outdated=outdated_caps(year, office.clock().year),
        counted=counted,
        own=book.own(office, "labor_class"),
    )


def save_year(office: Office, key: str, version: int, year: PayYear | None, order: Order) -> None:
    """Save a class's year of pay; None goes back to its shares. Raises: NotFound, Stale, BadValue."""
    title = _labor(office, key).title
    if year is not None:
        check_year(year)
    what = f"{title}: {'year of pay' if year else 'back to shares of the wage'}"
    book.set_fields(office, "labor_class", key, version, {"year": year}, replace(order, what=what))


def explained_wage(office: Office, key: str, figure: str) -> Trace:
    """How a figure of a class's worksheet came about. Raises: NotFound."""
    sheet = wage_sheet(office, key)
    labor = replace(sheet.labor, year=sheet.year) if sheet.worked else sheet.labor
    found = explain_year(labor, office.firm().currency, figure, day_counts=sheet.counted) if labor.wage > 0 else None
    if found is None:
        raise NotFound("This figure is not on the worksheet any more. Open the worksheet again.")
    return found


def _counted(office: Office, labor: LaborClass) -> bool:
    return not labor.own and counts_the_yard(office.firm(), None)


def _labor(office: Office, key: str) -> LaborClass:
    labor = office.basis().labor_classes.get(key)
    if labor is None:
        raise NotFound("There is no such class of people in the book (any more).")
    return labor
