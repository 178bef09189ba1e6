"""What may be typed: every command with its words, read into a namespace whose `run` does it."""

import argparse
from datetime import date
from pathlib import Path

from app.commands import (
    backup_commands,
    bring_back_command,
    calc_command,
    data_commands,
    erase_command,
    job_commands,
    serve,
    verify_command,
)

ABOUT = "From a measured yard to a signed, built design: estimate, propose, order and build from one job."
AFTER = """\
A job file (.json, or .zip with its photos) holds a job with all it stands on, so the commands that take FILE need no
server and no data folder.
Exit codes: 0 done; 1 looked at, and something stops or is broken; 2 refused, with a sentence.

  outlay serve                       serve the pages on this machine
  outlay estimate job.zip --json     what a job costs and is sold for, for a machine
  outlay calc volume area=450 'depth=4 in'   quick math without a job
  outlay backup stick/today.zip      everything, also while the pages are in use
"""


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    made = argparse.ArgumentParser(
        prog="outlay", description=ABOUT, epilog=AFTER, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    made.add_argument("--data", type=Path, help="the data folder (default: data, or OUTLAY_DATA)")
    commands = made.add_subparsers(required=True, metavar="command", title="commands")
    _serving(commands)
    _of_a_file(commands)
    _quick_math(commands)
    _of_the_data(commands)
    return made


def _command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, words: str, run: object
) -> argparse.ArgumentParser:
    made = commands.add_parser(name, help=words, description=words[0].upper() + words[1:] + ".")
    made.set_defaults(run=run)
    return made


def _json(made: argparse.ArgumentParser) -> None:
    made.add_argument("--json", action="store_true", help="answer in JSON, for machines")


def _serving(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    made = _command(commands, "serve", "serve the pages on this machine", serve.serve)
    made.add_argument("--port", type=int, default=8137, help="the port on 127.0.0.1 (default: 8137)")
    made.add_argument("--lan", action="store_true", help="start with sharing switched on, as its page does")
    made.add_argument("--demo", action="store_true", help="load the demo firm into an empty database")


def _of_a_file(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    for name, words, run in (
        ("estimate", "work out what a job costs and is sold for", job_commands.estimate),
        ("check", "say what is still open in a job; exit code 1 while something stops it", job_commands.check),
        ("order", "list what a job buys, rents, hires and hauls", job_commands.order),
        ("crew", "list what the crew builds, zone by zone", job_commands.crew),
        ("proposal", "print the proposal of a job as it would be offered", job_commands.proposal),
        ("plan", "print the plan of a job true to scale", job_commands.plan),
    ):
        made = _command(commands, name, words, run)
        made.add_argument("file", type=Path, metavar="FILE", help="a job file (.json or .zip)")
        made.add_argument(
            "--today", type=date.fromisoformat, metavar="DAY", help="the day prices are asked by (default: today there)"
        )
        if name in ("order", "crew", "proposal", "plan"):
            needed = name in ("proposal", "plan")
            made.add_argument("-o", "--out", type=Path, metavar="PDF", required=needed, help="print to it")
        if name == "plan":
            made.add_argument("--paper", default="", help="letter, tabloid, a4 or a3 (default: as the proposal)")
            made.add_argument("--scale", default="", help="1/8, 1/4, 1/16, 1:50, 1:100 or 1:200 (default: what fits)")
        if name == "order":
            made.add_argument("--csv", action="store_true", help="answer as a table for a spreadsheet")
        if name not in ("proposal", "plan"):
            _json(made)


def _quick_math(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    made = _command(
        commands, "calc", "work out one thing of the trades (quick math), or list what there is", calc_command.calc
    )
    made.add_argument("name", nargs="?", default="", metavar="NAME", help="which one (see --list)")
    made.add_argument("inputs", nargs="*", metavar="INPUT=VALUE", help="as typed on the sheet: area=200 'depth=4 in'")
    made.add_argument("--list", action="store_true", help="inputs, units, outputs, source of each")
    made.add_argument(
        "--firm",
        action="store_true",
        help="begin with the editions of printed tables the firm uses today (so does --data before the command)",
    )
    made.add_argument("--job", default="", metavar="NUMBER", help="… or those of the day this job was priced")
    made.add_argument(
        "--json",
        nargs="?",
        const="{}",
        metavar="{…}",
        help="inputs by name, a number in the listed unit or a text as typed; the answer is JSON",
    )


def _of_the_data(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    made = _command(commands, "jobs", "list the jobs in the data folder", data_commands.list_jobs)
    _json(made)
    made = _command(commands, "export", "write a job with its photos to a job file", data_commands.export)
    made.add_argument("job", metavar="JOB", help="the job's number or id (see `outlay jobs`)")
    made.add_argument("-o", "--out", type=Path, metavar="ZIP", help="where to (default: job-NUMBER.zip)")
    _json(made)
    made = _command(
        commands,
        "import",
        "make a new job of a job file, also while served; it keeps its prices",
        data_commands.bring_in,
    )
    made.add_argument("file", type=Path, metavar="FILE", help="a job file (.json or .zip)")
    _json(made)
    made = _command(
        commands,
        "bring-back",
        "merge a job that was taken along back into itself, also while served",
        bring_back_command.brought,
    )
    made.add_argument("file", type=Path, metavar="ZIP", help="the file that was made on the other machine")
    made.add_argument("--look", action="store_true", help="only say what would change")
    made.add_argument(
        "--keep", choices=("here", "away"), default="", help="whose value stays where both changed the same"
    )
    _json(made)
    _keeping(commands)


def _keeping(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    made = _command(commands, "backup", "write everything to one zip, also while served", backup_commands.backup)
    made.add_argument("target", type=Path, metavar="ZIP", help="a name that is not there yet, or a folder")
    made.add_argument(
        "--portable", action="store_true", help="for a new laptop: plain files with checksums, no database"
    )
    made.add_argument("--keys", action="store_true", help="with --portable: the keys, sealed under a passphrase")
    _json(made)
    made = _command(
        commands,
        "restore",
        "look into a backup and put it in place of what is there; not while the pages are served",
        backup_commands.restore,
    )
    made.add_argument("archive", type=Path, metavar="ZIP", help="a backup; what was there is kept beside it")
    made.add_argument("--look", action="store_true", help="only say what is inside and whether it is whole")
    made.add_argument("--keys", action="store_true", help="put its keys back too; asks for their passphrase")
    _json(made)
    made = _command(
        commands,
        "move-data",
        "move the data into a PostgreSQL database, or back into the SQLite file; not while the pages are served",
        backup_commands.move_data,
    )
    made.add_argument("where", metavar="WHERE", help="an empty database (postgresql://…), or `file`")
    _json(made)
    made = _command(
        commands,
        "erase",
        "erase a client for good, by one of their jobs; not while the pages are served (use the Client sheet then)",
        erase_command.erase,
    )
    made.add_argument("job", metavar="JOB", help="the number or id of one of the client's jobs")
    made.add_argument("--name", default="", help="the client's name as the job has it, so that nobody goes by a slip")
    made.add_argument("--papers", action="store_true", help="the signed papers, too; wants --reason")
    made.add_argument("--reason", default="", help="why, in a sentence without names: it stands on record")
    _json(made)
    made = _command(
        commands,
        "verify",
        "check the record, every file and every signed copy; or one signed copy",
        verify_command.verify,
    )
    made.add_argument(
        "file", type=Path, nargs="?", metavar="PDF", help="a signed copy from anywhere: is it whole, whose?"
    )
    _json(made)
