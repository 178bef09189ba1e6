"""Offer and sign in one line, for tests."""

import asyncio
from uuid import UUID, uuid4

from app.domain.contract.consent import word_of
from app.services import proposals, revisions
from app.services.jobs import Order
from app.services.office import Office
from app.services.revisions import Act
from app.services.sheets import sheet

STROKES = (((10.0, 10.0), (60.0, 40.0), (90.0, 12.0)),)


def order(what: str = "test") -> Order:
    return Order(change_id=uuid4(), what=what)


def offer(office: Office, job_id: UUID):
    return asyncio.run(proposals.offer(office, sheet(office, job_id), order("offer")))


def consents(browser, job_id: object, one) -> None:
    """Every client opens the pages and types their word, in a browser."""
    for signer in one.signers:
        sent = {"name": signer.name, "word": word_of(one.id), "consent": "1"}
        assert browser.post(f"/show/{job_id}/consent/{one.id}", sent).status_code == 303


def sign(office: Office, job_id: UUID, revision_id: str, name: str, **more):
    act = Act(name=name, strokes=STROKES, **more)
    return asyncio.run(revisions.sign(office, sheet(office, job_id), revision_id, act, order("sign")))
