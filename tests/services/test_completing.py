"""Completion signed with a finger: the same signing, consent and lock as a proposal's, without a notice to cancel.

The locked copy is looked into by the library that reads signatures (pyHanko), through `documents/verifying`.
"""

import asyncio
from io import BytesIO
from uuid import UUID, uuid4

import pypdf
import pytest

from app.documents.pdf import pdf_available
from app.domain.errors import Refused
from app.domain.job import HandedOver, SignedTest
from app.services import completing, locks, notices, revisions, signed_tests, waiting
from app.services.jobs import made, save
from app.services.office import Office
from app.services.revisions import Act
from app.services.sheets import sheet
from app.services.signing_at_table import sign_as_ticked
from tests.offering import STROKES, consents, order
from tests.web.conftest import Browser

pytestmark = pytest.mark.skipif(not pdf_available(), reason="printing needs Pango")


def tested(office: Office, job_id: UUID) -> None:
    view = sheet(office, job_id)
    rows = signed_tests.yard_tests(office, view).waiting
    tests = [
        SignedTest(
            id=uuid4(), test=row.needed.kind.key, place=row.needed.place, day=view.today, name="Ada Fenn", license="L-1"
        )
        for row in rows
    ]
    save(office, job_id, tuple(made("signed_test", one) for one in tests), order())


def offered(office: Office, job_id: UUID, contractor: str = ""):
    return asyncio.run(completing.offer_completion(office, sheet(office, job_id), order(), contractor=contractor))


def test_completion_is_signed_on_the_screen_locked_and_stands_with_the_hand_over(stocked: Office, ready: UUID):
    tested(stocked, ready)
    with pytest.raises(Refused, match="Hand the yard over first"):
        offered(stocked, ready)
    over = HandedOver(id=uuid4(), day=sheet(stocked, ready).today)
    save(stocked, ready, (made("handed_over", over),), order())
    here = Browser(stocked)
    page = here.get(f"/jobs/{ready}/after").text
    assert "Have it signed on this screen" in page
    assert "Paper to sign" in page
    answer = here.post(f"/jobs/{ready}/proposal/completion/offer", {"we_sign": "1"})
    assert answer.status_code == 303
    one = completing.completions(stocked, ready).open
    assert answer.headers["location"].endswith(f"/show/{ready}/sign/{one.id}")
    signing = here.get(f"/show/{ready}/sign/{one.id}").text
    assert "notice of cancellation" not in signing
    clients = tuple(signer.name for signer in one.signers if signer.role != "contractor")
    assert len(clients) < len(one.signers), "the firm signs, too"
    consents(here, ready, type("Of", (), {"id": one.id, "signers": [s for s in one.signers if s.name in clients]}))
    for name in (signer.name for signer in one.signers):
        act = Act(name=name, strokes=STROKES, place="home")
        asyncio.run(sign_as_ticked(stocked, sheet(stocked, ready), one.id, act, order()))
    done = completing.completions(stocked, ready).signed
    copy = revisions.hand_out(stocked, done.id, "signed")
    assert copy.startswith(revisions.hand_out(stocked, done.id, "offered"))
    said = " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(copy)).pages)
    assert clients[0] in said
    assert "NOTICE OF CANCELLATION" not in said.upper()
    looked = asyncio.run(locks.look_at(stocked, copy))
    assert looked.whole
    (kept,) = sheet(stocked, ready).job.handed_over
    assert kept.client == " and ".join(clients)
    assert waiting.holds(stocked, sheet(stocked, ready)) == (), "completing is no agreement that could be cancelled"
    assert notices.window_of(done.signers, "UTC", stocked.basis()) is not None, "a proposal signed there could be"
    after = here.get(f"/jobs/{ready}/after").text
    assert "Signed copy" in after
    assert "Have it signed on this screen" not in after
    assert "Paper to sign" not in after
