"""The demo: an invented firm with its price book and three clients, made through the services as a person would.

Everything in it is invented. Days stand relative to the office's clock, so the demo is never stale.
"""

import asyncio
from collections.abc import Mapping
from uuid import UUID

from app.domain.errors import OutlayError
from app.services.home import home
from app.services.office import Office
from app.worker.running import worker_of_this_loop
from seed_demo.agreement import newer_draft, sign_design, sign_proposal
from seed_demo.built import build
from seed_demo.finished import finish
from seed_demo.firm import fill_in_wages, open_the_book, set_up_firm
from seed_demo.money import bill_first_payment
from seed_demo.pictures import add_pictures
from seed_demo.supply import order_from_suppliers
from seed_demo.telling import Teller, read_data

JOBS = ("whitlock", "asante", "lindqvist")
FINISHED = "hallam"


def load_if_empty(office: Office) -> bool:
    """Load the demo into an office without any job; returns whether it did. Another office is left as it is."""
    if not all(home(office, closed=closed).empty for closed in (False, True)):
        return False
    say("Loading the demo: the invented firm Brackenfold Yards, its price book, three clients and a finished yard.")
    set_up_firm(office)
    fill_in_wages(office)
    open_the_book(office)
    told = {name: Teller(office, read_data(name)).tell() for name in JOBS}
    done = Teller(office, read_data(FINISHED))
    done.tell()
    say("Drawing its pictures, printing and signing the proposal of the Whitlocks' yard, billing its first payment.")
    asyncio.run(_papers(office, told, done))
    newer_draft(office, told["whitlock"], read_data("whitlock")["newer_draft"])
    return True


async def _papers(office: Office, told: Mapping[str, UUID], done: Teller) -> None:
    """What the worker makes: pictures, and what is printed to be signed; and what follows building in a finished yard."""
    try:
        if trouble := await build(office, done):
            say(trouble)
        await finish(office, done)
        for name, job_id in told.items():
            await add_pictures(office, job_id, read_data(name))
        await sign_design(office, told["asante"])
        await sign_proposal(office, told["whitlock"], contractor=office.firm().owner)
        await bill_first_payment(office, told["whitlock"])
        await order_from_suppliers(office, told["whitlock"])
    except OutlayError as wrong:
        say(f"  {wrong.sentence}")
        say("Not everything was signed: the PDF needs the Pango library. The demo is complete without it.")
    finally:
        await worker_of_this_loop().close()


def say(words: str) -> None:
    """Tell the person at the terminal what happens."""
    print(words, flush=True)  # noqa: T201 - said while the server starts


__all__ = ["load_if_empty"]
