"""Serve the pages on this machine."""

import argparse
import importlib

from app.commands.output import say, settings_of
from app.db.serving import alone


def serve(args: argparse.Namespace) -> int:
    """Serve until stopped; nothing else may write to the data meanwhile."""
    import uvicorn

    from app.interchange.library_file import load_library
    from app.main import create_app
    from app.services.office import open_office

    settings = settings_of(args)
    address = f"http://{settings.host}:{settings.port}"
    with alone(settings.data, address):
        library = load_library(settings.library)
        office = open_office(settings, library.basis(), cautions=library.cautions)
        if args.demo:
            importlib.import_module("seed_demo").load_if_empty(office)
        say(f"Outlay is at {address}  (stop with Ctrl-C)")
        uvicorn.run(
            create_app(office),
            host=settings.host,
            port=settings.port,
            log_level="warning",
            access_log=False,
            server_header=False,
            limit_concurrency=64,
            timeout_keep_alive=30,
        )
    return 0
