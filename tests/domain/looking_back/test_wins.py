"""Wins by source and band: intervals against published values, bands at both sides of each limit, spellings together."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.looking_back.wins import (
    BANDS,
    NOT_SAID,
    Asked,
    Outcome,
    band_of,
    by_band,
    by_source,
    outcome_of,
    wilson,
)


def asked(n: int, found: str = "", cents: int | None = None, outcome: Outcome = Outcome.OPEN) -> Asked:
    return Asked(job_id=str(n), number=n, title=f"Yard {n}", found_us=found, cents=cents, outcome=outcome)


@pytest.mark.parametrize(
    ("won", "decided", "low", "high"),
    # R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998),
    # table I, method 3 (score, no continuity correction), at 95 %, from memory
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_published_score_intervals(won: int, decided: int, low: float, high: float) -> None:
    assert wilson(won, decided, 1.959964) == (pytest.approx(low, abs=5e-5), pytest.approx(high, abs=5e-5))


@given(st.integers(1, 500), st.data())
def test_interval_holds_the_share_and_narrows(decided: int, data: st.DataObject) -> None:
    won = data.draw(st.integers(0, decided))
    low, high = wilson(won, decided)
    assert 0 <= low <= won / decided + 1e-12
    assert won / decided - 1e-12 <= high <= 1
    again = wilson(won * 4, decided * 4)
    assert again[1] - again[0] < high - low


def test_bands_meet_without_gap() -> None:
    for at, one in enumerate(BANDS):
        assert band_of(one * 100 - 1) == at
        assert band_of(one * 100) == at + 1
    assert band_of(None) == len(BANDS) + 1
    rows = by_band([asked(1, cents=100), asked(2), asked(3, cents=BANDS[-1] * 100)], str)
    assert [one.key for one in rows] == ["0", "4", "5"]


def test_spellings_of_a_source_stand_together() -> None:
    rows = by_source(
        [
            asked(1, "Neighbor", 100_00, Outcome.WON),
            asked(2, "neighbor "),
            asked(3, "Neighbor", 200_00, Outcome.LOST),
            asked(4, "Sign in a yard", 900_00, Outcome.WON),
            asked(5, "  "),
        ]
    )
    assert [one.key for one in rows] == ["Sign in a yard", "Neighbor", NOT_SAID]
    neighbor = rows[1]
    assert (neighbor.won, neighbor.lost, neighbor.open, neighbor.offered) == (1, 1, 1, 2)
    assert neighbor.share == 0.5
    assert neighbor.won_cents == 100_00
    assert rows[2].share is None
    assert rows[2].between is None


def test_signed_is_won_whatever_came_after() -> None:
    assert outcome_of("lost", signed=True) is Outcome.WON
    assert outcome_of("done", signed=False) is Outcome.WON
    assert outcome_of("lost", signed=False) is Outcome.LOST
    assert outcome_of("offered", signed=False) is Outcome.OPEN
