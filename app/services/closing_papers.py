"""Papers of the hand-over, printed to be signed by hand: completion, and the firm's own final release of lien."""

from typing import Any

from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.errors import Refused
from app.domain.handover.handing_over import handed_over_of
from app.domain.handover.papers import CompletionPaper, ReleasePaper, refuse_release
from app.domain.handover.punch import open_items
from app.domain.letterhead import head_fields, letterhead
from app.services.billed import job_money
from app.services.office import Office
from app.services.proposals import mark_address
from app.services.sheets import Sheet
from app.services.signed_tests import yard_tests


def completion_act(office: Office, view: Sheet) -> CompletionPaper:
    """What is signed when the yard goes over: what was tested, what is still to do, from when warranty runs.

    Raises: Refused while tests are not signed.
    """
    tests, money = yard_tests(office, view), job_money(office, view)
    if tests.waiting or not tests.rows:
        raise Refused("Sign every test first: the paper of the hand-over names them.")
    over = handed_over_of(view.job)
    return CompletionPaper(
        **head_fields(letterhead(view.job, office.firm(), number=0, made_on=view.today)),
        handed_over=over.day if over else view.today,
        tests=tests.rows,
        open_items=open_items(view.job.punch_items),
        proposal=money.contract.number if money.contract else 0,
        signed_on=money.contract.signed_on if money.contract else None,
    )


def completion_pdf(office: Office, view: Sheet, *, by_hand: bool = True) -> PdfOrder:
    """The paper of the hand-over; `by_hand`: with lines to sign. Raises: Refused while tests are not signed."""
    act, tests = completion_act(office, view), yard_tests(office, view)
    zones = {str(zone.id): f"{zone.letter} {zone.title}".strip() for zone in view.job.zones}
    values = {"tests": tests, "zones": zones, "by_hand": by_hand}
    return _paper(office, view, "completion", "Completion", act, values)


def release_pdf(office: Office, view: Sheet) -> PdfOrder:
    """The firm's own final release of lien; conditional while something is to be paid. Raises: Refused."""
    money, over, firm = job_money(office, view), handed_over_of(view.job), office.firm()
    refuse_release(over, signed=money.contract is not None)
    if money.contract is None or over is None:
        raise Refused("There is nothing to release yet.")
    act = ReleasePaper(
        **head_fields(letterhead(view.job, firm, number=0, made_on=view.today)),
        proposal=money.contract.number,
        signed_on=money.contract.signed_on,
        through=over.day,
        contract_cents=money.contract.total_cents,
        open_cents=max(0, money.left_cents + money.held_cents + money.account.balance_cents),
        owner=firm.owner,
    )
    return _paper(office, view, "lien_release", "Final release of lien", act, {})


def _paper(office: Office, view: Sheet, template: str, title: str, act: Any, values: dict[str, Any]) -> PdfOrder:
    firm, head = office.firm(), view.job.head
    values |= {"act": act, "mark": mark_address(office, act.mark)}
    return PdfOrder(
        html=document(office.settings.templates, template, firm, values),
        paper="a4" if (head.paper or firm.paper) == "a4" else "letter",
        title=f"{title}, {head.title}",
        language=firm.language,
        identifier=f"{head.id}-{template}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )
