"""How commands answer: sentences and columns for people, canonical JSON for machines."""

import argparse
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from app.config import Settings
from app.domain.codec import canonical_bytes, to_plain
from app.domain.errors import Refused


def say(*lines: str) -> None:
    """Lines for a person."""
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    sys.stdout.flush()


def say_json(value: object) -> None:
    """A value for a machine."""
    sys.stdout.write(canonical_bytes(to_plain(value)).decode() + "\n")


def columns(rows: Iterable[Sequence[str]]) -> list[str]:
    """Rows with their cells below one another; the last column is as long as it is."""
    held = [list(row) for row in rows]
    wide = [max(len(row[at]) for row in held) for at in range(len(held[0]))] if held else []
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, wide, strict=True)).rstrip() for row in held]


def write_new(path: Path, content: bytes) -> None:
    """Write a file that is not there yet. Raises: Refused when it is."""
    try:
        with path.open("xb") as file:
            file.write(content)
    except FileExistsError:
        raise Refused(f"{path} is there already. Choose another name, or take it away first.") from None
    except OSError as wrong:
        raise Refused(f"{path} cannot be written: {wrong.strerror}.") from wrong


def settings_of(args: argparse.Namespace) -> Settings:
    """The settings of a command."""
    port = getattr(args, "port", 8137)
    return Settings(data=args.data.absolute(), port=port) if args.data else Settings(port=port)
