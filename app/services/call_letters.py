"""The answer to a warranty call as a letter that leaves by the mail or text program of whoever answers."""

from app.domain.job import WarrantyCall
from app.domain.units import format_day
from app.services.sheets import Sheet


def letter_of(view: Sheet, call: WarrantyCall) -> tuple[str, str]:
    """The answer to a call as a letter to its client: what it is about, and its text. No money, no note of ours."""
    firm, client = view.basis.firm, view.job.client
    reach = ", ".join(part for part in (firm.phone, firm.email) if part)
    about = f"{firm.name or 'Your contractor'}: {call.what}"[:120]
    names = " and ".join(name for name in (client.name, client.second_name) if name)
    lines = (f"{names}," if names else "", f"You asked on {format_day(call.day)}: {call.what}", call.answer)
    signed = "\n".join(part for part in (firm.owner, firm.name, reach) if part)
    return about, "\n\n".join(part for part in (*lines, signed) if part)
