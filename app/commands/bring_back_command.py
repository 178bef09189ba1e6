"""The command that brings a job back from the machine it was taken along to, also while the pages are served."""

import argparse
import asyncio
from urllib.parse import urlencode
from uuid import uuid4

from app.commands.data_commands import held_for_writing, office_of
from app.commands.output import say, say_json, settings_of
from app.commands.through_server import ask_server
from app.db.serving import InUse
from app.domain.codec import from_plain
from app.domain.errors import NotFound
from app.services.jobs import Order
from app.web.brought_words import BroughtBack, bring_back

CHOOSE = (
    "Nothing was changed yet. Say whose values stay with --keep here or --keep away, or choose one by one: open the "
    "file on the job's page “Take along”."
)


def brought(args: argparse.Namespace) -> int:
    """What comes back, taken in; 1 while something was changed at both and nobody said which value stays."""
    try:
        content = args.file.read_bytes()
    except OSError as wrong:
        raise NotFound(f"The file {args.file} cannot be read: {wrong.strerror}.") from wrong
    made = _done(args, content, Order(change_id=uuid4()))
    if args.json:
        say_json(made)
        return int(made.asked > 0)
    say(*made.lines)
    if made.asked:
        say(CHOOSE)
    elif made.taken:
        say("Taken in. It is one change: Undo on the job takes it back, unless something was offered or signed away.")
    else:
        say("Nothing was changed.")
    return int(made.asked > 0)


def _done(args: argparse.Namespace, content: bytes, order: Order) -> BroughtBack:
    settings = settings_of(args)
    try:
        with held_for_writing(settings), office_of(args, held=True) as office:
            return asyncio.run(bring_back(office, content, args.keep, order, look=args.look))
    except InUse as served:
        if not served.address:
            raise
        asked = urlencode({"keep": args.keep, "look": int(args.look)})
        return from_plain(
            ask_server(settings, served.address, f"bring-back?{asked}", content, order.change_id), BroughtBack
        )
