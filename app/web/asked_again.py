"""The passcode asked again, before somebody is let in or shut out, sharing is widened, or a client is erased.

Who left a tablet of ours lying open, or a laptop, has not handed over its keys with it. Where no passcode is set, the
machine that Outlay runs on is not asked (who sits at it can read its files), and another device may do none of it.
"""

from fastapi import Request

from app.domain.devices import Device
from app.domain.sharing import Over
from app.services import passcode
from app.services.office import Office
from app.web.forms.fields import Field
from app.web.reached import over_of

PASSCODE = Field(name="passcode", label="The passcode", reader=lambda typed, _firm: typed, empty="")


async def proved(request: Request, office: Office, typed: str, *, field: str = "passcode") -> None:
    """Raises: BadValue beside the field for a wrong one; TooManyTries; Refused on a device where none is set."""
    device: Device | None = getattr(request.state, "device", None)
    place = str(device.id) if device else "here"
    await passcode.prove(office, typed, place, here=over_of(request.scope) is Over.HERE, field=field)
