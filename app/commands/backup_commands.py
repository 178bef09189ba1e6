"""Commands that keep the data: backups of both kinds, putting one back, looking whether everything holds."""

import argparse
import os
from getpass import getpass
from pathlib import Path

from app.commands.data_commands import done, office_of
from app.commands.output import say, settings_of
from app.config import Settings
from app.db.serving import InUse, alone
from app.domain.errors import Refused
from app.services import backups, erasing, moving_data, portable
from app.services.backups import Manifest
from app.services.portable import About

PASSPHRASE = "OUTLAY_PASSPHRASE"  # noqa: S105 - the name of a variable, for scripts


def backup(args: argparse.Namespace) -> int:
    """Everything to one zip."""
    with office_of(args) as office:
        kind = "outlay-portable" if args.portable else "outlay"
        named = f"{kind}-{office.clock():%Y-%m-%d-%H%M%S}.zip"
        target = (args.target / named if args.target.is_dir() else args.target).absolute()
        if args.portable:
            about = portable.write(office, target, passphrase=_new_passphrase() if args.keys else "")
            done(args, about, f"{_told(about)}: in {target}, checked again. {_of_keys(about)}")
            return 0
        made = backups.back_up(office, target)
    said = f"Jobs {made.jobs}, entries {made.entries}, files {made.files}: in {target}, opened again and whole."
    if made.damaged:
        said += f" {len(made.damaged)} files were damaged already and are not in it: run `outlay verify`."
    done(args, made, said)
    return 1 if made.damaged else 0


def restore(args: argparse.Namespace) -> int:
    """A backup in place of the data. Never under open pages: what they show would no longer be there."""
    settings, archive = settings_of(args), args.archive.absolute()
    if args.look:
        inside = _inside(archive)
        done(args, inside, f"{_told(inside)}. It is whole. Nothing was changed.")
        return 0
    try:
        with alone(settings.data):
            inside = _inside(archive)
            if not args.json:
                say(f"{_told(inside)}.")
            _put_back(settings, archive, inside, _passphrase("Passphrase of its keys: ") if args.keys else "")
            erased = _erased_again(args)
    except InUse as served:
        if not served.address:
            raise
        raise Refused(
            f"Outlay is running at {served.address}. A restore puts other data under the pages that are open there, so "
            "stop it first (Ctrl-C where it runs), restore, and start it again. Nothing was changed."
        ) from served
    said = f"{inside.jobs} jobs of {inside.firm or 'the firm'} as of {inside.made_at[:10]} are in {settings.data}. "
    done(args, inside, f"{said}What was there before is kept in a folder before-restore-… beside it.{erased}")
    return 0


def move_data(args: argparse.Namespace) -> int:
    """The data into a database on a server, or back into the file. Never under open pages."""
    settings = settings_of(args)
    with alone(settings.data):
        if args.where == "file":
            inside, where = moving_data.to_file(settings), str(settings.database)
        else:
            inside, where = moving_data.to_server(settings, args.where), "the database you named"
    counted = f"{_counted(inside.jobs, 'job')}, {_counted(inside.entries, 'change')}"
    done(args, inside, f"{counted}: in {where} now, row by row as before. What was there stays as it was.")
    return 0


def _erased_again(args: argparse.Namespace) -> str:
    """Clients that were erased since the backup was made are erased again, before anybody sees them."""
    with office_of(args, held=True) as office:
        came_back = erasing.again(office)
    return f" {_counted(came_back, 'client')} erased since the backup was made: erased again." if came_back else ""


def _inside(archive: Path) -> Manifest | About:
    """What a backup of either kind holds. Raises: CopyBroken when it is not whole, or is none."""
    return portable.look(archive) if portable.is_portable(archive) else backups.look_into(archive)


def _put_back(settings: Settings, archive: Path, inside: Manifest | About, passphrase: str) -> None:
    if isinstance(inside, About):
        portable.restore(settings, archive, passphrase=passphrase)
    else:
        backups.restore(settings, archive)


def _told(inside: Manifest | About) -> str:
    """What a backup holds, in words."""
    newest = inside.newest[:16].replace("T", " ") or inside.made_at[:16].replace("T", " ")
    return (
        f"Inside: {inside.firm or 'a firm without a name'}, {_counted(inside.jobs, 'job')}, "
        f"{_counted(inside.entries, 'change')}, {_counted(inside.files, 'file')}, up to {newest} UTC"
    )


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _of_keys(about: About) -> str:
    if about.keys:
        return "The keys are in it, sealed under your passphrase."
    return "The keys are not in it: tablets are paired anew on the new laptop. --keys takes them along."


def _new_passphrase() -> str:
    first = _passphrase("Passphrase for the keys: ")
    if PASSPHRASE not in os.environ and getpass("The same once more: ") != first:
        raise Refused("The two are not the same. Nothing was written.")
    return first


def _passphrase(asked: str) -> str:
    return os.environ.get(PASSPHRASE) or getpass(asked)
