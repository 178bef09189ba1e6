"""A command done by the server that is running: it is the one writer, so what it saves is seen on its pages at once."""

import json
import stat
from http.client import HTTPConnection, HTTPException, HTTPResponse
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID

from app.config import Settings
from app.domain.errors import Refused
from app.web.access import COMMANDS, command_mark
from app.web.sizes import most_of

PATIENCE = 60.0  # seconds for an answer: a job file of many photos takes some
STOP_FIRST = "Stop it first (Ctrl-C where it runs), and do this again."


def ask_server(settings: Settings, address: str, command: str, body: bytes, change_id: UUID) -> Any:
    """Send one command to the server at `address`; its answer as plain data, given once it is on disk.

    Raises: Refused, in a sentence, where it is not done or where that is not known.
    """
    most = most_of(COMMANDS + command.partition("?")[0])
    if len(body) > most:
        raise Refused(
            f"Outlay is running at {address} and takes files up to {most // 1_000_000} MB; this one has "
            f"{len(body) / 1_000_000:,.0f} MB. {STOP_FIRST}"
        )
    headers = {"origin": address, "x-outlay-command": _mark(settings, address, change_id)}
    connection = HTTPConnection(urlsplit(address).netloc, timeout=PATIENCE)
    try:
        connection.request("POST", COMMANDS + command, body, headers)
        answer = connection.getresponse()
        return _read(answer, answer.read(), address)
    except ConnectionRefusedError:
        raise Refused(
            f"Outlay at {address} is just starting or stopping. Nothing was changed; try again in a moment."
        ) from None
    except (OSError, HTTPException):
        raise Refused(
            f"Outlay at {address} did not answer. Look at Home whether it was done before you try again."
        ) from None
    finally:
        connection.close()


def _mark(settings: Settings, address: str, change_id: UUID) -> str:
    """What shows the server that its owner asks. Raises: Refused where the secret is missing or open to others."""
    path = settings.data / "secret"
    try:
        shared = stat.S_IMODE(path.stat().st_mode) & 0o077
        path.open("rb").close()
    except FileNotFoundError:
        raise Refused(
            f"{path} is missing: by it the Outlay running at {address} knows that its owner asks. Stop it and start it "
            "again, which makes a new one. Nothing was changed."
        ) from None
    except OSError as wrong:
        raise Refused(
            f"{path} cannot be read ({wrong.strerror}): only who started the Outlay running at {address} may do this. "
            "Nothing was changed."
        ) from None
    if shared:
        raise Refused(f"{path} can be read by others on this machine. Close it with chmod 600; nothing was changed.")
    return command_mark(settings, change_id)


def _read(answer: HTTPResponse, body: bytes, address: str) -> Any:
    try:
        said = json.loads(body)
    except ValueError:
        said = {}
    if answer.status < 400:
        return said
    sentence = said.get("sentence") if isinstance(said, dict) else None
    if not sentence and answer.status == 503:
        sentence = f"Outlay at {address} is busy. Nothing was changed; try again in a moment."
    raise Refused(sentence or f"Outlay at {address} cannot do this (answer {answer.status}). {STOP_FIRST}")
