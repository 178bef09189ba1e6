"""`outlay verify`: whether all that is kept still holds; with a file, whether that signed copy is whole and whose."""

import argparse
from pathlib import Path

from app.commands.data_commands import done, office_of
from app.commands.output import settings_of
from app.documents.verifying import copy_words, looked_into
from app.domain.errors import NotFound
from app.services import backups, erasing, locks
from app.services.locks import Looked


def verify(args: argparse.Namespace) -> int:
    """Whether everything kept, or the file that is named, still holds; 1 when something does not."""
    return _copy(args) if args.file else _everything(args)


def _everything(args: argparse.Namespace) -> int:
    with office_of(args) as office:
        found, emptied = backups.faults(office), erasing.emptied_entries(office)
    whole = "The record, every file and every signed copy hold."
    if emptied:
        whole += f" Entries erased with their clients, each vouched for by a later one: {emptied}. The chain is whole."
    done(args, {"faults": found, "erased_entries": emptied}, "\n".join(found) or whole)
    return 1 if found else 0


def _copy(args: argparse.Namespace) -> int:
    """A copy by itself; where there is a data folder, also against its key, its files and its record."""
    looked = _looked(args, _content(args.file))
    lock = looked.copy.lock
    answer = {
        "whole": looked.whole,
        "faults": looked.copy.faults,
        "locked": lock is not None,
        "owner": lock.owner if lock else "",
        "key": lock.fingerprint if lock else "",
        "offered": looked.copy.offered,
        "record": looked.copy.record,
        "said": looked.said,
    }
    done(args, answer, "\n".join(looked.said))
    return 0 if looked.whole else 1


def _looked(args: argparse.Namespace, content: bytes) -> Looked:
    copy = looked_into(content)
    if not settings_of(args).holds_data:
        printed = (f"It prints the head of the firm's record: {copy.record}.",) if copy.record else ()
        return Looked(copy=copy, said=(copy_words(copy), *printed))
    with office_of(args) as office:
        return locks.told(office, content, copy)


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as wrong:
        raise NotFound(f"The file {path} cannot be read: {wrong.strerror}.") from wrong
