"""The command that erases a client from the data folder; while the pages are served their own page does it."""

import argparse
from uuid import uuid4

from app.commands.data_commands import done, job_named, office_of
from app.commands.output import settings_of
from app.db.serving import InUse, alone
from app.domain.errors import Refused
from app.services import erasing
from app.services.erasing import Wish
from app.services.jobs import Order
from app.services.office import Office


def erase(args: argparse.Namespace) -> int:
    """A client, with all their jobs, for good."""
    try:
        with alone(settings_of(args).data), office_of(args, held=True) as office:
            left = _erased(office, args)
    except InUse as served:
        if not served.address:
            raise
        raise Refused(
            f"Outlay is running at {served.address}, and pages that show the client may be open. Erase there, at the "
            "foot of the Client sheet, or stop it first. Nothing was changed."
        ) from served
    stays = f" {left} signed papers stay: see “Erased clients” on the Firm page." if left else ""
    done(args, {"signed_papers_left": left}, f"Erased, and the record's chain holds.{stays}")
    return 0


def _erased(office: Office, args: argparse.Namespace) -> int:
    job_id, _ = job_named(office, args.job)
    before = len(erasing.left_behind(office))
    wish = Wish(name=args.name, papers=args.papers, reason=args.reason)
    erasing.erase(office, job_id, wish, Order(change_id=uuid4()))
    return len(erasing.left_behind(office)) - before
