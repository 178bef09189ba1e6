"""A finished yard: tests signed, handed over weeks ago, a call since then, and the job closed."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from app.services import as_built, counting, handing_over, punch_list, signed_tests, warranty
from app.services.office import Office
from app.services.sheets import sheet
from seed_demo.telling import Teller, order, today_of

TESTED_BY = "Dana Ruhl"
NOT_TYPED: dict[str, float | None] = dict.fromkeys(("beside", "returned", "left_over"))


async def finish(office: Office, teller: Teller) -> None:
    """Everything that follows building, as its file tells."""
    told, job_id = teller.told, teller.job_id
    over = today_of(office) + timedelta(days=told["over"]["in_days"])
    for one in told["signed"]:
        await _sign(office, job_id, {**one, "day": over, "name": TESTED_BY})
    for one in told["note"]:
        values = {**one, "thing": str(teller.ids[one["thing"]]), "day": over}
        await as_built.add_note(office, sheet(office, job_id), values, b"", order())
    await _punch(office, job_id, told["punch"])
    if sheet(office, job_id).job.supply_orders:  # nothing was bought where nothing could be signed
        counted = {key: counting.Counted(**{**NOT_TYPED, **one}) for key, one in told["counted"].items()}
        counting.count(office, sheet(office, job_id), over, counted, "", order())
    handing_over.hand_over(office, sheet(office, job_id), {"day": over, "by": told["over"]["by"]}, order())
    await handing_over.signed_by(office, sheet(office, job_id), told["over"]["client"], b"", order())
    await _call(office, teller, told["warranty"])
    closing = {"by": told["over"]["by"], "reason": told["over"]["closed_because"]}
    handing_over.close(office, sheet(office, job_id), closing, order())


async def _sign(office: Office, job_id: UUID, values: dict[str, Any]) -> None:
    """A test by its kind: of each place that asks for it."""
    view = sheet(office, job_id)
    for row in signed_tests.yard_tests(office, view).waiting:
        if row.needed.kind.key == values["test"]:
            await signed_tests.sign_test(office, view, row.needed.key, values, b"", order())


async def _punch(office: Office, job_id: UUID, told: dict[str, Any]) -> None:
    await punch_list.add_item(office, sheet(office, job_id), {"what": told["what"], "who": told["who"]}, b"", order())
    (item,) = sheet(office, job_id).job.punch_items
    await punch_list.item_done(office, sheet(office, job_id), item.id, {"who": told["done_by"]}, b"", order())
    punch_list.client_says(office, sheet(office, job_id), item.id, {"words": told["client_words"]}, order())


async def _call(office: Office, teller: Teller, told: dict[str, Any]) -> None:
    """A call that was taken and settled."""
    job_id, day = teller.job_id, today_of(office) + timedelta(days=told["in_days"])
    named = {name: told[name] for name in ("what", "assembly", "cause", "crew", "batch")}
    values = {**named, "zone": str(teller.ids["walk"]), "day": day, "covered": True}
    await warranty.write_call(office, sheet(office, job_id), values, b"", order())
    (call,) = sheet(office, job_id).job.warranty_calls
    took = {"quarters": round(told["hours"] * 4), "cents": told["cents"], "done_on": day, "covered": True}
    warranty.settle_call(office, sheet(office, job_id), call.id, {**took, "words": told["words"]}, order())
