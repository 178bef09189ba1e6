"""The play holds, and each of ten faults that are put into the program is found by it.

Few plays, drawn so that each meets its fault soon: `python -m bars 16` plays hundreds, and every fault from one beginning.
"""

import pytest

from tests.played.faults import FAULTS
from tests.played.playing import finds, play

PLAYS, MOST_PLAYS = 3, 8  # without a fault; until one is found
BEGIN = {
    "answered before the commit": 3,
    "version not looked at": 4,
    "dropped at undo": 4,
    "sent twice done twice": 3,
    "restored into the same epoch": 3,
    "price kept too long": 4,
    "signed pages made anew": 5,
    "entry left out": 1,
    "edit of the other lost": 1,
    "half of it kept": 4,
}


def test_whatever_two_devices_do_the_firm_is_as_told() -> None:
    play(PLAYS, begin=7)


@pytest.mark.parametrize("fault", FAULTS)
def test_fault_is_found(fault: str) -> None:
    assert finds(fault, MOST_PLAYS, BEGIN[fault])
