"""Tests before hand-over: what the yard wants, who signed what; a failed one goes to the punch list by itself."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from app.domain.change import Edit
from app.domain.errors import NotFound, Refused
from app.domain.handover.handing_over import handed_over_of, refuse_day
from app.domain.handover.needed_tests import needed_tests, read_values, said
from app.domain.handover.punch import is_open
from app.domain.handover.signing_tests import (
    SignedRow,
    Told,
    refuse_leaving_out,
    result_of,
    rows_of,
    waiting_for,
)
from app.domain.job import LEFT_OUT, NOT_PASSED, PASSED, Job, PunchItem, SignedTest
from app.interchange.after_lists import kinds_of_test
from app.services import jobs
from app.services.build import build_sheet
from app.services.changes import Applied
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.own_photo import with_photo
from app.services.sheets import Sheet, kept


@dataclass(frozen=True, slots=True, kw_only=True)
class YardTests:
    """The tests of a yard as the pages show them."""

    rows: tuple[SignedRow, ...]
    letters: Mapping[str, str]
    today: date
    system: str

    @property
    def waiting(self) -> tuple[SignedRow, ...]:
        """What hand-over waits for."""
        return waiting_for(self.rows)

    def row(self, key: str) -> SignedRow:
        """A test by kind and place. Raises: NotFound."""
        found = next((one for one in self.rows if one.needed.key == key), None)
        if found is None:
            raise NotFound("This test is not asked for in this yard (any more). Open the tests again.")
        return found

    def limit(self, row: SignedRow) -> str:
        """What a test is held against."""
        return row.needed.limit(self.system)  # type: ignore[arg-type]  # the firm's own

    def readings(self, row: SignedRow, one: SignedTest) -> str:
        """What was measured, in words."""
        measured = row.needed.kind.measured
        return ", ".join(said(measured, value, self.system) for value in one.values)  # type: ignore[arg-type]


def yard_tests(office: Office, view: Sheet) -> YardTests:
    """The tests that what is built asks for, with what was signed."""
    stands = build_sheet(office, view).stands
    kinds = kinds_of_test(office.settings.library)
    key = ("tests", view.job.head.id, stands.signed.id if stands.signed else "")
    needed = kept(office, key, view.opened, lambda: needed_tests(stands.job, stands.basis, kinds))
    return YardTests(
        rows=rows_of(needed, view.job.signed_tests),
        letters=letters_of(stands.job),
        today=view.today,
        system=office.firm().system,
    )


def letters_of(job: Job) -> Mapping[str, str]:
    """The letter of each zone by its id as text."""
    return {str(zone.id): zone.letter for zone in job.zones}


async def sign_test(
    office: Office, view: Sheet, key: str, values: Mapping[str, Any], picture: bytes, order: Order
) -> Applied | None:
    """Sign a test by name: passed or not, as its readings or the eye say; sent twice, it is signed once.

    Raises: BadValue beside what is missing, NotFound; Refused once the yard is handed over.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    tests = yard_tests(office, view)
    row = tests.row(key)
    needed, kind = row.needed, row.needed.kind
    _refuse_handed_over(view)
    refuse_day(values["day"], view.today)
    read = read_values(values.get("values") or "", kind.measured, office.firm().system) if kind.measured else ()
    told = Told(
        values=read,
        passed={PASSED: True, NOT_PASSED: False}.get(values.get("passed") or ""),
        name=values.get("name") or "",
        license=values.get("license") or "",
        words=values.get("words") or "",
    )
    result = result_of(needed, told)
    photo, edits = await with_photo(office, picture, order, caption=kind.title, when="during", day=values["day"])
    new = SignedTest(
        id=uuid5(order.change_id, "test"),
        test=kind.key,
        place=needed.place,
        day=values["day"],
        result=result,
        title=kind.title,
        limit=tests.limit(row) or kind.how,
        values=read,
        name=told.name,
        license=told.license,
        words=told.words,
        photo_id=photo,
        said_by=office.who(),
        said_at=office.clock(),
    )
    edits = (*edits, made("signed_test", new), *_punch_edits(view, row, new, order, office))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"{kind.title}: {result}"[:120]))


def _punch_edits(view: Sheet, row: SignedRow, new: SignedTest, order: Order, office: Office) -> tuple[Edit, ...]:
    """A test that failed is on the punch list until it passes."""
    waits = [one for one in view.job.punch_items if (one.test, one.place) == (new.test, new.place) and is_open(one)]
    if new.result == PASSED:
        fields = {"done_on": new.day, "done_by": new.name}
        return tuple(changed("punch_item", one.id, view.version("punch_item", one.id), fields) for one in waits)
    if waits:
        return ()
    item = PunchItem(
        id=uuid5(order.change_id, "punch"),
        day=new.day,
        what=f"Not passed: {row.needed.kind.title.lower()}" + (f", {row.needed.title}" if row.needed.title else ""),
        zone=row.needed.zone,
        test=new.test,
        place=new.place,
        photo_id=new.photo_id,
        said_by=office.who(),
        said_at=office.clock(),
    )
    return (made("punch_item", item),)


def leave_out(office: Office, view: Sheet, key: str, values: Mapping[str, Any], order: Order) -> Applied | None:
    """The owner leaves a test out and says why. Raises: Refused for gas and line voltage; BadValue, NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    tests = yard_tests(office, view)
    row = tests.row(key)
    _refuse_handed_over(view)
    name, why = values.get("name") or "", values.get("words") or ""
    refuse_leaving_out(row.needed, name, why)
    new = SignedTest(
        id=uuid5(order.change_id, "test"),
        test=row.needed.kind.key,
        place=row.needed.place,
        day=view.today,
        result=LEFT_OUT,
        title=row.needed.kind.title,
        limit=tests.limit(row) or row.needed.kind.how,
        name=name,
        words=why,
        said_by=office.who(),
        said_at=office.clock(),
    )
    what = f"Left out: {row.needed.kind.title}"[:120]
    return jobs.save(office, view.job.head.id, (made("signed_test", new),), replace(order, what=what))


def take_back(office: Office, view: Sheet, test_id: UUID, order: Order) -> Applied | None:
    """Take out what was signed by mistake, with the punch item that came of it alone. Raises: NotFound, Refused."""
    if jobs.is_saved(office, order.change_id):
        return None
    gone = next((one for one in view.job.signed_tests if one.id == test_id), None)
    if gone is None:
        raise NotFound("This test is not signed (any more).")
    _refuse_handed_over(view)
    edits = jobs.removal(view.opened, "signed_test", test_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Not signed: {gone.title}"[:120]))


def _refuse_handed_over(view: Sheet) -> None:
    if over := handed_over_of(view.job):
        raise Refused(
            f"The yard was handed over on {over.day:%B} {over.day.day}; its tests stand as they were signed. "
            "What shows up now is a warranty call."
        )
