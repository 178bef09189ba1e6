"""The range drawn in the worker is the range drawn here."""

import pytest

from app.domain.costing.estimate import estimate
from app.domain.costing.simulation import simulate
from app.worker import run_now
from app.worker.trials import trials_of, trials_payload
from tests.domain.costing.three_zones import BASIS, JOB

pytestmark = pytest.mark.own_process


def test_worker_draws_what_would_be_drawn_here_and_tells_how_far_it_is() -> None:
    inputs = estimate(JOB, BASIS).inputs
    told: list[tuple[float, str]] = []
    content = run_now("trials", trials_payload(inputs), progress=lambda share, words: told.append((share, words)))
    assert trials_of(content) == simulate(inputs)
    assert told[0] == (0.0, "Drawing 10,000 trials")
    assert told[-1][0] == 1.0
