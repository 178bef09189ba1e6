"""Serve the pages on this machine."""

import argparse
import importlib
import socket
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

from app.commands import log_lines
from app.commands.data_commands import held_for_writing
from app.commands.output import say, settings_of
from app.config import Settings
from app.db.files import FileStore
from app.domain.errors import OutlayError, Refused
from app.domain.sharing import Over

if TYPE_CHECKING:
    from app.web.sharing import Sharing


def serve(args: argparse.Namespace) -> int:
    """Serve until stopped; nothing else may write to the data meanwhile."""
    import uvicorn

    from app.interchange.library_file import load_library
    from app.main import create_app
    from app.services import erasing
    from app.services.backup_folder import in_danger
    from app.services.office import open_office
    from app.web.listening import Listener

    settings = settings_of(args)
    address = f"http://{settings.host}:{settings.port}"
    _take_care(settings)
    with held_for_writing(settings, address):
        log_lines.begin(settings.data)
        library = load_library(settings.library)
        office = open_office(settings, library.basis(), cautions=library.cautions)
        FileStore(settings.files).clear_aside()
        erasing.again(office)
        if args.demo:
            importlib.import_module("seed_demo").load_if_empty(office)
        say(f"Outlay is at {address}  (stop with Ctrl-C)", *in_danger(office))
        app = create_app(office)
        config = uvicorn.Config(
            app,
            host=settings.host,
            port=settings.port,
            log_level="warning",
            log_config=None,
            access_log=False,
            server_header=False,
            limit_concurrency=64,
            timeout_keep_alive=30,
        )
        server = Listener(config, then=partial(_share, app.state.sharing) if args.lan else None)
        with suppress(KeyboardInterrupt):
            server.run()
    return 0


async def _share(sharing: "Sharing") -> None:
    """What `--lan` does, and nothing more: the switch that the page of sharing has."""
    try:
        share = await sharing.begin()
    except OutlayError as wrong:
        say(wrong.sentence)
    else:
        say(f"Shared over {share.network.interface} at {share.link(Over.SECURE)} until it is switched off, or idle.")


def _take_care(settings: Settings) -> None:
    """Look before serving: is the address free, are the pages' styles there.

    Raises: Refused when another program has the address.
    """
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((settings.host, settings.port))
        except OSError:
            raise Refused(
                f"Another program uses {settings.host}:{settings.port}; perhaps Outlay is running already. Open "
                f"http://{settings.host}:{settings.port}, or choose another: outlay serve --port {settings.port + 1}"
            ) from None
    if not (settings.static / "built" / "print.css").is_file():
        say("The styles of pages and papers are not built: they will look plain. Run `make run`, which builds them.")
