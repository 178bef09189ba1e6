"""What is written down before hand-over, in the office or in the yard: tests, the punch list, each with a picture."""

from uuid import UUID

from fastapi import Request

from app.services import punch_list, signed_tests
from app.services.changes import Applied
from app.services.office import Office
from app.services.sheets import Sheet
from app.web.forms.after import DONE, PUNCH, RESULT
from app.web.forms.saving import Saved
from app.web.forms.with_file import save_with_file


async def signed_test(request: Request, office: Office, view: Sheet) -> tuple[Saved[Applied | None], str]:
    """A test is signed by name, with a picture where there is one; with the key of the test."""
    saved = await save_with_file(
        request,
        office,
        RESULT,
        "Test",
        lambda parsed, content, order: signed_tests.sign_test(
            office, view, parsed.typed["test"] or "", parsed.values, content, order
        ),
    )
    return saved, saved.form.typed["test"] or ""


async def item_added(request: Request, office: Office, view: Sheet) -> Saved[Applied | None]:
    """An item for the punch list."""
    return await save_with_file(
        request,
        office,
        PUNCH,
        "Punch list",
        lambda parsed, content, order: punch_list.add_item(office, view, parsed.values, content, order),
    )


async def item_done(request: Request, office: Office, view: Sheet, item_id: UUID) -> Saved[Applied | None]:
    """An item of the punch list is done."""
    return await save_with_file(
        request,
        office,
        DONE,
        "Done",
        lambda parsed, content, order: punch_list.item_done(office, view, item_id, parsed.values, content, order),
    )
