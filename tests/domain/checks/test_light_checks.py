"""Checks of 12 V lights: both sides of each spacing, voltage at the last one, a transformer that is missing."""

from dataclasses import replace

import pytest

from app.domain.checks import lights
from app.domain.checks.yard import Yard
from tests.domain.takeoff.test_light_circuits import lit
from tests.plans.yards import basis


def found(rule: str, job, book=None):
    book = book or basis()
    return list(lights.CHECKS[rule](Yard(job, book), book.rules[rule]))


@pytest.mark.parametrize(
    ("rule", "recipe", "within", "beyond"),
    [
        ("light-path-apart", "path-light", 10.0, 10.1),
        ("light-path-close", "path-light", 6.0, 5.9),
        ("light-step-apart", "step-light", 5.0, 5.1),
        ("light-wall-apart", "wall-light", 8.0, 8.1),
    ],
)
def test_spacing_speaks_beyond_its_limit_and_says_it_is_practice(rule, recipe, within, beyond):
    assert found(rule, lit((0, 10), (within, 10), recipe=recipe)) == []
    told = found(rule, lit((0, 10), (beyond, 10), recipe=recipe))
    assert len(told) == 2
    assert all("Common practice" in one.source for one in told)
    assert all(one.severity.value == "note" for one in told)


def test_lights_of_another_kind_or_far_away_are_no_row():
    assert found("light-path-apart", lit((0, 10), (40, 10))) == []
    assert found("light-path-apart", lit((0, 10))) == []
    assert found("light-step-apart", lit((0, 10), (6, 10))) == []  # path lights


def test_voltage_speaks_below_its_limit_only():
    assert found("light-volts", lit(*[(10 * place, 0) for place in range(1, 9)])) == []
    told = found("light-volts", lit(*[(30 * place, 0) for place in range(1, 11)]))
    assert len(told) == 1
    assert "L10" in told[0].what
    assert "12 V tap" in told[0].what
    refused = found("light-volts", lit(*[(1500 + 50 * place, 0) for place in range(12)]))
    assert "not worked out" in refused[0].what


def test_thicker_cable_brings_more_volts():
    job = lit(*[(30 * place, 0) for place in range(1, 11)])
    assert found("light-volts", job)
    thicker = [replace(one, finishes={"low-voltage cable": "cable-8"}) if one.assembly == "light-transformer" else one for one in job.works]  # fmt: skip
    assert found("light-volts", replace(job, works=tuple(thicker))) == []


def test_lights_without_transformer_are_told_once():
    job = lit((0, 10), (8, 10))
    alone = replace(job, works=tuple(one for one in job.works if one.assembly != "light-transformer"))
    told = found("light-volts", alone)
    assert [one.severity.value for one in told] == ["not checked"]
    assert "2 lights stand" in told[0].what
