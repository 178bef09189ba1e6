"""The play holds, and each of ten faults that are put into the program is found by it.

Few plays, drawn so that each meets its fault soon: `python -m bars 16` plays hundreds, and every fault from one beginning.
"""

import pytest

from tests.played.faults import FAULTS
from tests.played.playing import finds, play

PLAYS, MOST_PLAYS = 3, 8  # without a fault; until one is found
BEGIN = {
    "answered before the commit": 7,
    "version not looked at": 6,
    "dropped at undo": 5,
    "sent twice done twice": 7,
    "restored into the same epoch": 7,
    "price kept too long": 6,
    "signed pages made anew": 4,
    "entry left out": 7,
    "edit of the other lost": 7,
    "half of it kept": 3,
}


def test_whatever_two_devices_do_the_firm_is_as_told() -> None:
    play(PLAYS, begin=7)


@pytest.mark.parametrize("fault", FAULTS)
def test_fault_is_found(fault: str) -> None:
    assert finds(fault, MOST_PLAYS, BEGIN[fault])
