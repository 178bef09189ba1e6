"""All open invoices by age, and the bookkeeper's tables: exact, quoted, harmless in a spreadsheet."""

import csv
import io
from datetime import timedelta
from uuid import UUID

import pytest

from app.documents.pdf import pdf_available
from app.domain.billing import Contract
from app.services import book, contracts, erasing, job_files, jobs, revisions
from app.services.billed import job_money
from app.services.contracts import contract_of
from app.services.jobs import changed
from app.services.office import Office
from app.services.receivables import overdue, receivables
from app.services.sheets import sheet
from tests.offering import order
from tests.web.conftest import Browser
from tests.web.test_money_sheet import issue, pay, reach
from tests.web.yard import text_of

pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


@pytest.fixture
def web(stocked: Office, ready: UUID) -> Browser:
    return Browser(stocked)


def table(web: Browser, path: str) -> list[dict[str, str]]:
    answer = web.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/csv")
    text = answer.content.decode("utf-8-sig")
    assert text.endswith("\r\n"), "RFC 4180: every line ends with CRLF"
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_open_invoices_stand_by_age_and_on_home_once_overdue(web: Browser, stocked: Office, sold: UUID) -> None:
    assert "Nothing is open" in text_of(web.get("/firm/money").text)
    reach(web, sold, 0)
    issue(web, sold)
    assert [age.title for age in receivables(stocked).ages] == ["Not due yet"]
    assert overdue(stocked) == ()
    assert "Invoices overdue" not in web.get("/").text
    stocked.clock.now += timedelta(days=14 + 40)
    (one,) = overdue(stocked)
    assert one.standing.overdue_days == 40
    assert [age.title for age in receivables(stocked).ages] == ["31 to 60 days"]
    home = text_of(web.get("/").text)
    assert "Invoices overdue" in home
    assert "40 days late" in home
    page = text_of(web.get("/firm/money").text)
    assert "overdue 40 days" in page
    assert "The next invoice has number 2" in page
    pay(web, sold, str(one.standing.open_cents / 100 + 10))
    assert overdue(stocked) == ()
    found = receivables(stocked)
    assert (found.open_cents, [cents for _, cents in found.credits]) == (0, [10_00])


def test_tables_hold_every_cent_and_no_formula(web: Browser, stocked: Office, sold: UUID) -> None:
    """RFC 4180 for quoting; OWASP, CSV injection, for cells that begin with a formula's sign."""
    client = jobs.open_job(stocked, sold).job.client
    version = jobs.open_job(stocked, sold).version("client", str(client.id))
    evil = '=HYPERLINK("http://x.example","a"), "quoted"'
    edit = changed("client", client.id, version, {"name": evil, "second_name": ""})
    jobs.save(stocked, sold, (edit,), order())
    reach(web, sold, 0)
    issue(web, sold)
    invoice = job_money(stocked, sheet(stocked, sold)).invoices[0]
    pay(web, sold, "1,234.56", number="+1041", words="@night drop, two notes", invoice=invoice.id)
    day = stocked.clock().date().isoformat()
    web.post(f"/jobs/{sold}/money/paid-out", {"to": "-Stoltz", "cents": "640.55", "day": day, "paid_for": "other"})
    (row,) = table(web, "/firm/money/invoices.csv")
    assert row["Client"] == f"'{evil}", "kept from running, else as it is"
    assert (row["Number"], row["Total"], row["Paid"]) == ("1", f"{invoice.total_cents / 100:.2f}", "1234.56")
    assert row["Open"] == f"{(invoice.total_cents - 1_234_56) / 100:.2f}"
    (paid,) = table(web, "/firm/money/payments.csv")
    assert (paid["Number"], paid["Note"], paid["Amount"]) == ("'+1041", "'@night drop, two notes", "1234.56")
    (spent,) = table(web, "/firm/money/spending.csv")
    assert (spent["Month"], spent["Amount"]) == (day[:7], "640.55")
    assert table(web, "/firm/money/invoices.csv?year=1999") == []
    assert len(table(web, "/firm/money/invoices.csv?year=²")) == 1, "what is no year is this one"


def test_void_invoice_stands_in_the_table_and_counts_nothing(web: Browser, stocked: Office, sold: UUID) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    invoice = job_money(stocked, sheet(stocked, sold)).invoices[0]
    web.post(f"/jobs/{sold}/money/invoice/{invoice.id}/void", {"reason": "Wrong day"})
    (row,) = table(web, "/firm/money/invoices.csv")
    assert (row["State"], row["Total"], row["Open"], row["Why void"]) == ("void", "0.00", "0.00", "Wrong day")


def test_first_number_counts_until_one_is_issued(web: Browser, stocked: Office, sold: UUID) -> None:
    firm = {"first_invoice": "1200", "version": str(book.own(stocked, "firm").version("firm", stocked.firm_id))}
    assert web.post(f"/firm/firm/{stocked.firm_id}", firm).status_code == 303
    reach(web, sold, 0)
    issue(web, sold)
    reach(web, sold, 1)
    firm["version"] = str(book.own(stocked, "firm").version("firm", stocked.firm_id))
    web.post(f"/firm/firm/{stocked.firm_id}", {**firm, "first_invoice": "5"})
    issue(web, sold)
    found = job_money(stocked, sheet(stocked, sold)).invoices
    assert [one.number for one in found] == [1201, 1200]


def test_invoice_outlives_its_client_and_its_number_is_not_given_again(
    web: Browser, stocked: Office, sold: UUID
) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    kept = job_money(stocked, sheet(stocked, sold)).invoices[0].id
    wish = erasing.Wish(name="Linnea Whitlock", reason="They asked for it, and the job is at its end.")
    erasing.erase(stocked, sold, wish, order())
    assert kept in {one.id for one in erasing.left_behind(stocked)}
    assert web.get(f"/firm/erased/{kept}/paper").content.startswith(b"%PDF")
    assert receivables(stocked).next_number == 2


def test_job_file_brings_no_payments_along(web: Browser, stocked: Office, sold: UUID) -> None:
    reach(web, sold, 0)
    issue(web, sold)
    pay(web, sold, "75")
    came = job_files.bring_in(stocked, job_files.export_job(stocked, sold), order())
    assert jobs.open_job(stocked, came.job_id).job.received_payments == ()
    assert len(jobs.open_job(stocked, sold).job.received_payments) == 1


def test_contract_of_an_older_release_follows_from_what_was_kept(web: Browser, stocked: Office, sold: UUID) -> None:
    """A proposal offered before payments were kept beside it has the same milestones, worked out from its job file."""
    view = sheet(stocked, sold)
    now = contract_of(stocked, view)
    one = revisions.of_job(stocked, sold)[0]
    held = contracts.results_of

    def without(office: Office, revision: object) -> dict[str, object]:
        return {
            key: value
            for key, value in held(office, revision).items()  # type: ignore[arg-type]
            if key not in ("payments", "contract_tax_cents")
        }

    contracts.results_of = without  # type: ignore[assignment]
    try:
        then: Contract = contracts._contract(stocked, one, (), view.job.head.time_zone)
    finally:
        contracts.results_of = held
    assert then == now
