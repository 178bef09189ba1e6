"""Mail: the firm's account, a signed copy put into the queue, and what waits there."""

from uuid import UUID

from fastapi import APIRouter, BackgroundTasks, Request
from fastapi.responses import Response

from app.domain.mail import account_of
from app.services import mailing
from app.web.access import OfficeHere
from app.web.forms.fields import Parsed, count, order_of, read, text
from app.web.forms.saving import save_form
from app.web.rendering import go
from app.web.routes.firm import firm_again
from app.web.routes.show import sign_page_again
from app.web.sheet_pages import show

router = APIRouter()

ACCOUNT = (
    text("host", "Mail server", required=True, most=253),
    count("port", "Port", least=1, most=65_535, required=True),
    text("user", "User name", required=True, most=254),
    text("secret", "Password", required=True, most=500),
    text("sender", "Sent from", required=True, most=254),
)
TO = (text("to", "Send it by mail to", required=True, most=254),)


@router.post("/firm/mail")
async def keep_account(request: Request, office: OfficeHere) -> Response:
    """Keep the mail account."""
    form = await request.form()
    parsed = read(form, ACCOUNT, office.firm(), whole=True)
    saved = save_form(parsed, lambda: mailing.set_account(office, account_of(**parsed.values)))
    return firm_again(request, office, focus="mail", saved=saved)


@router.post("/firm/mail/forget")
async def forget_account(request: Request, office: OfficeHere) -> Response:
    """Forget the mail account."""
    await request.form()
    saved = save_form(Parsed(), lambda: mailing.forget_account(office))
    return firm_again(request, office, focus="mail", saved=saved)


@router.post("/show/{job_id}/mail/{revision_id}")
async def send_copy(
    request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID, later: BackgroundTasks
) -> Response:
    """Put the signed copy into the queue; it is tried at once, after the answer."""
    form = await request.form()
    parsed = read(form, TO, office.firm(), whole=True)
    saved = save_form(
        parsed, lambda: mailing.send(office, job_id, str(revision_id), parsed.values["to"], order_of(form, "Mail"))
    )
    if not saved.ok:
        return sign_page_again(request, office, job_id, revision_id, saved)
    later.add_task(mailing.send_due, office)
    return go(request, f"/show/{job_id}/sign/{revision_id}#copy")


@router.post("/jobs/{job_id}/mail/{mail_id}/again")
async def try_again(
    request: Request, office: OfficeHere, job_id: UUID, mail_id: UUID, later: BackgroundTasks
) -> Response:
    """Try a letter now."""
    await request.form()
    saved = save_form(Parsed(), lambda: mailing.try_again(office, job_id, str(mail_id)))
    later.add_task(mailing.send_due, office)
    return show(request, office, job_id, "proposal", saved=saved)


@router.post("/jobs/{job_id}/mail/{mail_id}/stop")
async def stop(request: Request, office: OfficeHere, job_id: UUID, mail_id: UUID) -> Response:
    """Take a letter out of the queue."""
    await request.form()
    saved = save_form(Parsed(), lambda: mailing.stop(office, job_id, str(mail_id)))
    return show(request, office, job_id, "proposal", saved=saved)
