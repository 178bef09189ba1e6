"""The client's face: plan, palette, words, and the price only when its cover is lifted. Made apart on the server."""

from typing import Any
from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.documents.pdf import NO_PANGO, pdf_available
from app.services import change_orders, consenting, later_options, mailing, revisions
from app.services.agreed import order_of as order_of_change
from app.services.choosing import LONGEST_INITIALS, take_package_at_table, tick_at_table
from app.services.consenting import Given
from app.services.notices import notice_if_signed
from app.services.office import Office
from app.services.paper_signing import paper_sheet
from app.services.revisions import CHANGE_ORDER, COMPLETION
from app.services.sheets import sheet
from app.services.signing_at_table import sign_as_ticked, ticked_since
from app.web.access import OfficeHere
from app.web.client_pages import PAGES, client_page, context_of, shown
from app.web.crew_screens import printed
from app.web.forms.fields import Parsed, order_of, read, text, yes
from app.web.forms.saving import Saved, save_form, save_form_async
from app.web.forms.signing import ROLES, device_words, read_act
from app.web.outside import NO_SIGNING
from app.web.rendering import answer, go, handed_out, page

router = APIRouter()

DECLINE = (text("why", "Why", most=500),)
CONSENT = (text("name", "Who consents", most=200), text("word", "The word", most=60), yes("consent", "I consent"))
TICK = (yes("taken", "In the price"), text("initials", "Initials", most=LONGEST_INITIALS))


@router.get("/show/{job_id}")
async def show_first(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """The client's first page: the plan."""
    return client_page(request, office, job_id, "plan")


@router.get("/show/{job_id}/{key}")
async def show_page(request: Request, office: OfficeHere, job_id: UUID, key: str, lift: bool = False) -> Response:
    """One of the client's pages; the price stays covered until it is lifted."""
    return client_page(request, office, job_id, key if key in dict(PAGES) else "plan", lift=lift)


@router.post("/show/{job_id}/options/change")
async def offer_change(request: Request, office: OfficeHere, job_id: UUID) -> Response:
    """What is ticked beyond what is signed, as a page of its own to sign."""
    form = await request.form()
    view = sheet(office, job_id)
    saved = await save_form_async(
        Parsed(), lambda: later_options.offer_change(office, view, order_of(form, "Options taken"))
    )
    if saved.ok and saved.result is not None:
        return go(request, f"/show/{job_id}/sign/{saved.result.id}")
    return _options_answer(request, office, job_id, saved, lift=True)


@router.post("/show/{job_id}/options/{option_id}")
async def tick_option(request: Request, office: OfficeHere, job_id: UUID, option_id: UUID) -> Response:
    """The client ticks an option, or takes the tick out, with initials; the total follows."""
    form = await request.form()
    parsed = read(form, TICK, office.firm(), whole=True)
    taken, initials = bool(parsed.values.get("taken")), parsed.values.get("initials") or ""
    saved = save_form(
        parsed, lambda: tick_at_table(office, job_id, option_id, initials, taken=taken, order=order_of(form, ""))
    )
    return _options_answer(request, office, job_id, saved, lift=bool(form.get("lift")), at=str(option_id))


def _options_answer(
    request: Request, office: Office, job_id: UUID, saved: Saved[Any], *, lift: bool, at: str = ""
) -> Response:
    """The page of options after something was chosen, or its part; `at` is the option a form was about."""
    context = {**shown(office, job_id, "options", lift=lift), "saved": saved, "at": at}
    here = f"/show/{job_id}/options" + ("?lift=true" if lift else "")
    return answer(request, context, whole="show/options.html", part=context["part"], status=saved.status, then=here)


@router.post("/show/{job_id}/packages/{package_id}")
async def choose_package(request: Request, office: OfficeHere, job_id: UUID, package_id: UUID) -> Response:
    """The client chooses one of the packages; options and total follow."""
    form = await request.form()
    saved = save_form(Parsed(), lambda: take_package_at_table(office, job_id, package_id, order_of(form, "")))
    return _options_answer(request, office, job_id, saved, lift=bool(form.get("lift")))


@router.get("/show/{job_id}/sign/{revision_id}")
async def sign_page(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """Where an offer is signed."""
    return sign_page_again(request, office, job_id, revision_id, Saved(Parsed()))


@router.post("/show/{job_id}/sign/{revision_id}")
async def sign(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """One person signs."""
    form = await request.form()
    parsed, act = await read_act(form, device_words(request.headers.get("user-agent", "")))
    view = sheet(office, job_id)
    saved = await save_form_async(
        parsed, lambda: sign_as_ticked(office, view, str(revision_id), act, order_of(form, "Signed"))
    )
    if saved.ok:
        return go(request, f"/show/{job_id}/sign/{revision_id}")
    return sign_page_again(request, office, job_id, revision_id, saved)


@router.post("/show/{job_id}/decline/{revision_id}")
async def decline(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """The client does not agree to a change order."""
    form = await request.form()
    parsed = read(form, DECLINE, office.firm(), whole=True)
    view, why = sheet(office, job_id), parsed.values.get("why") or ""
    order = order_of(form, "Change order declined")
    saved = save_form(parsed, lambda: change_orders.decline(office, view, str(revision_id), why, order))
    if saved.ok:
        return go(request, f"/show/{job_id}/sign/{revision_id}")
    return sign_page_again(request, office, job_id, revision_id, saved)


@router.post("/show/{job_id}/consent/{revision_id}")
async def consent(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """One person consents to an electronic record, or takes that back."""
    form = await request.form()
    parsed = read(form, CONSENT, office.firm(), whole=True)
    revision = revisions.of_this_job(office, job_id, str(revision_id)).id
    given = Given(
        name=parsed.values.get("name") or "",
        typed=parsed.values.get("word") or "",
        agrees=bool(parsed.values.get("consent")),
        device=device_words(request.headers.get("user-agent", "")),
    )
    view, order = sheet(office, job_id), order_of(form, "Consent")
    if form.get("back"):
        saved = save_form(parsed, lambda: consenting.take_back(office, view, revision, given.name, order))
    else:
        saved = save_form(parsed, lambda: consenting.consent(office, view, revision, given, order))
    if saved.ok:
        return go(request, f"/show/{job_id}/sign/{revision_id}")
    return sign_page_again(request, office, job_id, revision_id, saved)


@router.get("/show/{job_id}/file/{revision_id}/{role}.pdf")
async def client_file(
    request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID, role: str, keep: bool = False
) -> Response:
    """The offered or signed pages, for the client; `keep`: to be kept by the device."""
    known = role if role in {"offered", "signed"} else "offered"
    content = revisions.hand_out(office, str(revisions.of_this_job(office, job_id, str(revision_id)).id), known)
    return handed_out(request, content, f"proposal-{known}.pdf", "application/pdf", keep=keep)


@router.get("/show/{job_id}/paper/{revision_id}.pdf")
async def sheet_for_hand(request: Request, office: OfficeHere, job_id: UUID, revision_id: UUID) -> Response:
    """The sheet to sign by hand, with the notice of cancellation in duplicate."""
    one = revisions.of_this_job(office, job_id, str(revision_id))
    made = paper_sheet(office, sheet(office, job_id), one)
    return await printed(request, made, f"to-sign-by-hand-{one.number}.pdf")


def sign_page_again(request: Request, office: Office, job_id: UUID, revision_id: UUID, saved: Saved[Any]) -> Response:
    """The page to sign a paper, or of its signed copy, after something was sent from it."""
    one = revisions.of_this_job(office, job_id, str(revision_id))
    context = context_of(office, job_id, "proposal")
    context.pop("draft")
    view = sheet(office, job_id)
    run_out = revisions.has_run_out(office, one, view.job.head.time_zone)
    context |= {"revision": one, "saved": saved, "run_out": run_out, "lifted": True}
    context["no_signing"] = NO_SIGNING
    context["letters"] = mailing.letters_of(office, job_id)
    context["can_mail"] = mailing.account(office) is not None
    context["mail_to"] = view.job.client.email
    context["zone"] = view.job.head.time_zone
    context |= consenting.told_before(office, view, one)
    context["roles"] = [(role, role) for role in ROLES]
    context["notice"] = None if one.kind == COMPLETION else notice_if_signed(office, view.today, view.basis)
    context["no_pdf"] = "" if pdf_available() else NO_PANGO
    context["ticked_since"] = ticked_since(office, view, one)
    context["act"] = order_of_change(office, one) if one.kind == CHANGE_ORDER else None
    return page(request, "show/sign.html", context, status=saved.status)
