"""The list of tests before hand-over: every sign is known, each says how and by what source, limits are what was published."""

import pytest

from app.domain.handover.needed_tests import ALWAYS, said
from app.interchange.after_lists import kinds_of_test
from app.interchange.library_file import load_library

LIBRARY = load_library()
KINDS = kinds_of_test()


@pytest.mark.parametrize("key", KINDS)
def test_signs_of_a_test_are_known_and_it_says_how_and_by_what_source(key: str) -> None:
    one = KINDS[key]
    assert set(one.asked_by.recipes) <= LIBRARY.assemblies.keys()
    assert set(one.asked_by.tasks) <= LIBRARY.tasks.keys()
    assert one.rule == "" or one.rule in LIBRARY.rules
    assert len(one.how) > 30
    assert one.source
    assert (one.least is None and one.most is None) == (one.measured == "")
    assert one.trade or not one.no_way_round
    assert one.asked_by != ALWAYS or one.each == "job"


def test_limits_are_those_that_were_published() -> None:
    """The fall: ICPI tolerances, 2%. Compaction: the same, 98% of standard Proctor. Risers: IRC R311.7.5.1, 3/8 in (from
    memory). Voltage: practice of 12-volt lighting, a tenth of the voltage lost at most."""
    assert KINDS["surface-fall"].least == 0.02
    assert KINDS["base-compacted"].least == 98.0
    assert said("length", KINDS["risers-alike"].most or 0, "feet") == '3/8"'
    assert KINDS["light-voltage"].least == pytest.approx(12.0 * 0.9)
    assert said("length", KINDS["water-runs-off"].most or 0, "feet") == '1/8"'


def test_gas_and_line_voltage_are_for_the_licensed_trade_with_no_way_round() -> None:
    assert {one.key for one in KINDS.values() if one.no_way_round} == {"gas-tight", "line-voltage"}
