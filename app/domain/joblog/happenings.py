"""What happened on a job beside the work: weather, delays, visitors, inspections, receipts."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from operator import attrgetter
from typing import Any

from app.domain.errors import BadValue
from app.domain.job import RESULTS, Job, LoggedDelay, LoggedReceipt, LoggedVisit, LoggedWeather
from app.domain.joblog.delays import WHOSE, Cause
from app.domain.takeoff.trace import Trace

NOT_PASSED = "not passed"  # one of `RESULTS`
COLDEST, HOTTEST = -60, 140  # degrees, in whichever unit
KINDS: Mapping[type, str] = {
    LoggedWeather: "logged_weather",
    LoggedDelay: "logged_delay",
    LoggedVisit: "logged_visit",
    LoggedReceipt: "logged_receipt",
}
Happening = LoggedWeather | LoggedDelay | LoggedVisit | LoggedReceipt


@dataclass(frozen=True, slots=True, kw_only=True)
class Sky:
    """One kind of weather to tap."""

    key: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLists:
    """What the log offers to tap."""

    skies: tuple[Sky, ...]
    causes: tuple[Cause, ...]

    def sky(self, key: str) -> str:
        """What a kind of weather is called."""
        return next((one.title for one in self.skies if one.key == key), key)

    def cause(self, key: str) -> Cause:
        """A cause by its key; one that is no longer listed is called by it."""
        return next((one for one in self.causes if one.key == key), Cause(key=key, title=key))


def happened(job: Job) -> tuple[tuple[date, tuple[Happening, ...]], ...]:
    """What happened, by day, the newest first; within a day weather, delays, visits, receipts."""
    held: list[Happening] = [*job.logged_weather, *job.logged_delays, *job.logged_visits, *job.logged_receipts]
    kinds = tuple(KINDS)
    held.sort(key=lambda one: (-one.day.toordinal(), kinds.index(type(one)), str(one.said_at), str(one.id)))
    return tuple((day, tuple(found)) for day, found in groupby(held, key=attrgetter("day")))


def refuse_senseless(one: Happening, lists: LogLists) -> None:
    """Refuse what tells nothing or cannot be. Raises: BadValue beside what is missing."""
    if isinstance(one, LoggedWeather):
        _refuse_weather(one, lists)
    elif isinstance(one, LoggedDelay):
        _refuse_delay(one, lists)
    elif isinstance(one, LoggedVisit):
        _refuse_visit(one)
    elif one.cents <= 0:
        raise BadValue("The amount is nothing. Type what was paid, with tax.", field="amount")


def _refuse_weather(one: LoggedWeather, lists: LogLists) -> None:
    if one.sky and one.sky not in {sky.key for sky in lists.skies}:
        raise BadValue("Weather: choose one of the list.", field="sky")
    if not one.sky and one.degrees is None and not one.words:
        raise BadValue("Tap the weather, or type a temperature or a few words.", field="sky")
    if one.degrees is not None and not COLDEST <= one.degrees <= HOTTEST:
        raise BadValue(f"{one.degrees}° was typed; it must lie between {COLDEST}° and {HOTTEST}°.", field="degrees")


def _refuse_delay(one: LoggedDelay, lists: LogLists) -> None:
    if one.cause not in {cause.key for cause in lists.causes}:
        raise BadValue("Tap what held the work up.", field="cause")
    if one.whose not in WHOSE:
        raise BadValue("Whose it is: choose one of the list.", field="whose")
    if not one.half_days and not one.quarters:
        raise BadValue("Say how long: days lost, or hours that people waited.", field="half_days")


def _refuse_visit(one: LoggedVisit) -> None:
    if one.inspection and one.result not in RESULTS:
        raise BadValue("Tap what came of the inspection.", field="result")
    if one.inspection and not one.what:
        raise BadValue("Say what was inspected: footing, gas line, electrical rough-in.", field="what")


def not_passed(visits: Iterable[LoggedVisit]) -> tuple[LoggedVisit, ...]:
    """Inspections that stand as not passed: of each thing that was inspected the newest one counts."""
    inspections = (one for one in visits if one.inspection)
    in_order = sorted(inspections, key=lambda one: (one.day, str(one.said_at), str(one.id)))
    newest = {one.inspects or " ".join(one.what.casefold().split()): one for one in in_order}
    return tuple(one for one in newest.values() if one.result == NOT_PASSED)


def receipts_of(receipts: Iterable[LoggedReceipt], zone: str | None = None) -> tuple[LoggedReceipt, ...]:
    """The receipts of a zone (or `job`); None: all of them. By day."""
    found = (one for one in receipts if zone is None or one.zone == zone)
    return tuple(sorted(found, key=lambda one: (one.day, str(one.said_at), str(one.id))))


def spent(receipts: Sequence[LoggedReceipt]) -> int:
    """What receipts come to [cents]."""
    return sum(one.cents for one in receipts)


def explain_receipts(receipts: Sequence[LoggedReceipt], currency: str) -> Trace:
    """What receipts come to, one by one."""
    steps = tuple(explain_receipt(one, currency) for one in receipts)
    told: dict[str, Any] = {"label": "Receipts", "expression": "sum of the receipts", "filled": ""}
    return Trace(**told, result=spent(receipts) / 100, unit=currency, steps=steps)


def explain_receipt(one: LoggedReceipt, currency: str) -> Trace:
    """One receipt, as it was typed."""
    label = f"{one.day:%b} {one.day.day}, {one.merchant or 'a merchant who was not named'}"
    return Trace(label=label, expression="typed from the receipt", filled="", result=one.cents / 100, unit=currency)
