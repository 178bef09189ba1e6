"""The command line: `python -m app …`, installed as `outlay …`."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from app.config import Settings
from app.domain.errors import OutlayError


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; a refusal is one sentence on the error stream and exit code 2."""
    args = _parser().parse_args(words)
    try:
        return int(args.run(args) or 0)
    except OutlayError as wrong:
        print(wrong.sentence, file=sys.stderr)
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="outlay", description="From a measured yard to a signed, built design.")
    parser.add_argument("--data", type=Path, help="the data folder (default: data, or OUTLAY_DATA)")
    commands = parser.add_subparsers(required=True, metavar="command")
    serve = commands.add_parser("serve", help="serve the pages on this machine")
    serve.add_argument("--port", type=int, default=8137)
    serve.add_argument("--demo", action="store_true", help="load the demo firm into an empty database")
    serve.set_defaults(run=_serve)
    return parser


def settings_of(args: argparse.Namespace) -> Settings:
    """The settings of a command."""
    port = getattr(args, "port", 8137)
    return Settings(data=args.data.absolute(), port=port) if args.data else Settings(port=port)


def _serve(args: argparse.Namespace) -> None:
    import uvicorn

    from app.interchange.library_file import load_library
    from app.main import create_app
    from app.services.office import open_office

    settings = settings_of(args)
    library = load_library(settings.library)
    office = open_office(settings, library.basis(), cautions=library.cautions)
    if args.demo:
        _load_demo(office)
    print(f"Outlay is at http://{settings.host}:{settings.port}  (stop with Ctrl-C)", flush=True)
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


def _load_demo(office: object) -> None:
    import importlib

    importlib.import_module("seed_demo").load_if_empty(office)


if __name__ == "__main__":
    raise SystemExit(main())
