"""The worker's task that draws the range: inputs as plain values in, what came out of all trials as bytes."""

from typing import Any

import msgspec

from app.domain.costing.chances import Chance
from app.domain.costing.range import Common, Input, Inputs, Spread
from app.domain.costing.simulation import SEED, TRIALS, Simulated, simulate


def trials_payload(inputs: Inputs, *, seed: int = SEED, trials: int = TRIALS) -> dict[str, Any]:
    """What the task is given."""
    return {
        "inputs": [(one.group, one.low, one.likely, one.high, list(one.loads)) for one in inputs.inputs],
        "common": [(one.name, one.spread.low, one.spread.likely, one.spread.high) for one in inputs.common],
        "chances": [tuple(one) for one in inputs.chances],
        "seed": seed,
        "trials": trials,
    }


def trials_task(payload: Any, tell: Any) -> bytes:
    """Draw all trials."""
    inputs = tuple(Input(row[0], row[1], row[2], row[3], tuple(row[4])) for row in payload["inputs"])
    common = tuple(Common(name, Spread(low, likely, high)) for name, low, likely, high in payload["common"])
    chances = tuple(Chance(*row) for row in payload["chances"])
    words = f"Drawing {payload['trials']:,} trials"
    tell(0.0, words)
    found = simulate(
        Inputs(inputs, common, chances=chances),
        seed=payload["seed"],
        trials=payload["trials"],
        tell=lambda share: tell(share, words),
    )
    return msgspec.json.encode(found)


def trials_of(content: bytes) -> Simulated:
    """What came out."""
    return msgspec.json.decode(content, type=Simulated)
