"""A list that was taken names the drafts and the open offers whose price it moves, and nothing else."""

import asyncio
from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import UUID, uuid4

from app.db.files import FileStore
from app.db.repositories import revisions
from app.db.repositories.revisions import Revision
from app.domain.costing.estimate import estimate
from app.interchange.job_file import write_job_file
from app.interchange.trimming import trimmed
from app.services import jobs, prices
from app.services.jobs import Order, open_job
from app.services.office import Office
from app.services.price_history import change_of_prices, hurt_by


def moved(office: Office, key: str, price: str) -> UUID:
    order = Order(change_id=uuid4())
    version = prices.price_row(office, key)[1].version("price", key)
    prices.set_price(office, key, version, {"unit_price": Decimal(price)}, order)
    return order.change_id


def hurt(office: Office, change_id: UUID):
    return asyncio.run(hurt_by(office, change_of_prices(office, change_id)))


def offered(office: Office, job_id: UUID, state: str = "offered") -> int:
    """An offer on the prices of now, kept as its job file."""
    opened = open_job(office, job_id)
    file = FileStore(office.settings.files).keep(write_job_file(opened.job, trimmed(opened.basis, opened.job)))
    cents = estimate(opened.job, opened.basis).price_cents
    one = Revision(id=str(uuid4()), job_id=str(job_id), number=1, kind="proposal", state=state, issued_at="2027-03-09T15:00:00+00:00",
                   holds_until=date(2027, 4, 9), price_cents=cents, job_counter=1, signers=(), files={"job": file})  # fmt: skip
    with office.database.write() as connection:
        revisions.insert_revision(connection, office.firm_id, one, {"job": 1})
    return cents


def test_draft_that_uses_a_price_moves_by_what_the_estimate_moves(stocked: Office, ready: UUID) -> None:
    before = estimate(open_job(stocked, ready).job, open_job(stocked, ready).basis).price_cents
    (one,) = hurt(stocked, moved(stocked, "base-stone-34", "40"))
    after = estimate(open_job(stocked, ready).job, open_job(stocked, ready).basis).price_cents
    assert (one.before, one.after, one.offered) == (before, after, None)
    assert one.by > 0
    assert one.title.startswith("Linnea Whitlock")


def test_price_that_no_job_uses_hurts_nobody(stocked: Office, ready: UUID) -> None:
    used = trimmed(open_job(stocked, ready).basis, open_job(stocked, ready).job).prices
    unused = next(key for key in stocked.basis().materials if key not in used)
    assert hurt(stocked, moved(stocked, unused, "40")) == []


def test_open_offer_is_listed_before_its_draft_and_a_signed_one_is_not(stocked: Office, ready: UUID) -> None:
    cents = offered(stocked, ready)
    first, second = hurt(stocked, moved(stocked, "base-stone-34", "40"))
    assert first.offered is not None
    assert (first.before, second.offered) == (cents, None)
    assert first.by == second.by
    with stocked.database.write() as connection:
        revisions.set_state(connection, first.offered.id, "signed")
    assert [one.offered for one in hurt(stocked, moved(stocked, "base-stone-34", "50"))] == [None]


def test_undone_change_still_says_what_it_moved_from_now(stocked: Office, ready: UUID) -> None:
    change_id = moved(stocked, "base-stone-34", "40")
    jobs.undo(stocked, None, uuid4())
    assert hurt(stocked, change_id) == []


def test_job_on_prices_of_its_own_is_left_out(stocked: Office, ready: UUID) -> None:
    opened = open_job(stocked, ready)
    file = FileStore(stocked.settings.files).keep(
        write_job_file(replace(opened.job), trimmed(opened.basis, opened.job))
    )
    edit = jobs.changed("job", opened.job.head.id, opened.version("job", opened.job.head.id), {"basis_file": file})
    jobs.save(stocked, ready, (edit,), Order(change_id=uuid4()))
    assert hurt(stocked, moved(stocked, "base-stone-34", "40")) == []
