"""The file that was sent with a form: at once, or in pieces before it."""

from starlette.datastructures import FormData, UploadFile

from app.services import pieces
from app.services.office import Office

IN_PIECES = "file_in_pieces"  # names a file that has come before its form


async def file_of(office: Office, form: FormData) -> bytes:
    """Its bytes; none where there is none.

    Raises: BadValue where it came in pieces and not whole, so that it is sent again.
    """
    if isinstance(form.get("file"), UploadFile):
        return await file_at_once(form)
    name = str(form.get(IN_PIECES, ""))
    return pieces.take(office, name) if name else b""


async def file_at_once(form: FormData) -> bytes:
    """The bytes of one that came with its form; none where there is none. Who may send no pieces names none either."""
    sent = form.get("file")
    return await sent.read() if isinstance(sent, UploadFile) else b""


def let_go(office: Office, form: FormData) -> None:
    """What came in pieces was taken: it is kept no longer."""
    if name := str(form.get(IN_PIECES, "")):
        pieces.drop(office, name)
