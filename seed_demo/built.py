"""A yard signed, bought for and built weeks ago: everything written down on the day on which it was."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import timedelta
from typing import Any
from uuid import UUID

from app.domain.errors import OutlayError
from app.domain.job import WHOLE_JOB, BilledLine, CameLine, SentLine
from app.domain.joblog import TaskPlace
from app.services import daily_log
from app.services import supply_arrivals as arrivals
from app.services import supply_sending as sending
from app.services.office import Office
from app.services.sheets import sheet
from app.services.supply_arrivals import Came
from seed_demo.agreement import sign_proposal
from seed_demo.telling import Teller, order, today_of

NOT_SIGNED = "  That yard has no signed proposal, and so no hours against it."


@contextmanager
def on_day(office: Office, in_days: int) -> Iterator[None]:
    """The office as it was some days ago: its clock stands back."""
    now = office.clock
    office.clock = lambda: now() + timedelta(days=in_days)
    try:
        yield
    finally:
        office.clock = now


async def build(office: Office, teller: Teller) -> str:
    """Sign, buy and build as the file tells; returns why not, where nothing could be printed to be signed."""
    told = teller.told
    try:
        with on_day(office, told["agreed"]["in_days"]):
            await sign_proposal(office, teller.job_id)
    except OutlayError as wrong:
        return f"  {wrong.sentence}\n{NOT_SIGNED}"
    for one in told["bought"]:
        with on_day(office, one["in_days"]):
            await _buy(office, teller.job_id, one)
    for one in told["worked"]:
        with on_day(office, one["in_days"]):
            _work(office, teller, one)
    return ""


async def _buy(office: Office, job_id: UUID, told: Mapping[str, Any]) -> None:
    """An order sent, come whole in one batch, and billed as it was sent."""
    sending.prepare(office, sheet(office, job_id), told["list"], order())
    made = max(sheet(office, job_id).job.supply_orders, key=lambda one: one.number)
    sending.send(office, sheet(office, job_id), made.id, None, None, order())
    view = sheet(office, job_id)
    sent = next(one for one in view.job.supply_orders if one.id == made.id)
    came = tuple(_came(line, told) for line in sent.lines)
    await arrivals.deliver(office, view, made.id, Came(day=view.today, lines=came), b"", order())
    asked = tuple(BilledLine(material=line.material, amount=line.amount, cents=line.cents) for line in sent.lines)
    sums = {"delivery_cents": sent.delivery_cents, "charges_cents": sent.charges_cents}
    bill = {"day": view.today, "number": told["bill"], "total_cents": None, **sums}
    arrivals.bill(office, sheet(office, job_id), made.id, bill, asked, order())


def _came(line: SentLine, told: Mapping[str, Any]) -> CameLine:
    return CameLine(material=line.material, came=line.amount, batch=told.get("batches", {}).get(line.material, ""))


def _work(office: Office, teller: Teller, told: Mapping[str, Any]) -> None:
    """A day of some of the crew: the same hours each at every task."""
    day = today_of(office)
    for task, hours in told["hours"].items():
        view = sheet(office, teller.job_id)
        zone = str(teller.ids[told["zone"]]) if "zone" in told else WHOLE_JOB
        at = TaskPlace(zone=zone, phase=str(teller.ids["one"]), task=task)
        said = daily_log.Told(day=day, people=tuple(told["people"]), at=at, quarters=round(hours * 4))
        daily_log.log_hours(office, view, said, order())
