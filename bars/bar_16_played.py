"""The play of tests/played, longer than beside the tests: two devices in any order, ten faults put into the program.

Plays are drawn anew for every number a run begins with; a fault that no play meets within its count is not found.
"""

import logging

from bars import Figure
from tests.played.faults import FAULTS
from tests.played.playing import Found, UntilFound, finds, play

PLAYS, FEW = 300, 2
UNTIL_FOUND = 60  # plays with each fault, at most
BEGIN = 20270309


def measure(few: bool) -> tuple[Figure, ...]:
    """What did not hold, and the faults that were not noticed."""
    logging.disable()
    try:
        plays = FEW if few else PLAYS
        said = broken(plays)
        missed = [fault for fault in FAULTS if not finds(fault, UNTIL_FOUND, BEGIN)]
    finally:
        logging.disable(logging.NOTSET)
    note = f"{plays} plays of two devices{': ' + said if said else ''}"
    return (
        Figure(what="plays after which the firm is not as told", value=int(bool(said)), limit=0, note=note),
        Figure(what="planted faults not found", value=len(missed), limit=0, note=", ".join(missed) or "all ten found"),
    )


def broken(plays: int) -> str:
    """What does not hold without a fault; empty where all does."""
    try:
        play(plays, BEGIN, kind=UntilFound)
    except Found as found:
        return str(found)
    return ""
