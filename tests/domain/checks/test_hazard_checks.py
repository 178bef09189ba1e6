"""Digging, dust, old paint and licensed trades.

Sources: state one-call laws, 29 CFR 1926.1153, 40 CFR 745 (before 1978), as the rules of the library name them.
"""

from dataclasses import replace

import pytest

from app.domain.checks import check
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import PRIVATE_LINES, Answer, PlaceKind, RunKind, Stage, known_lines
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, site, with_existing, with_feature, with_run, with_work, with_zone


def of(rule: str, job) -> list[Finding]:
    return [one for one in check(job, basis()) if one.rule == rule]


def digging():
    return with_zone(empty(), "A", rectangle(10, 10, at=(0, 50)), "unit-pavers")


def test_digging_is_a_reminder_before_signing_and_a_stop_for_the_crew_after() -> None:
    (before,) = of("call-before-you-dig", digging())
    signed = replace(digging(), head=replace(digging().head, stage=Stage.SIGNED))
    (after,) = of("call-before-you-dig", signed)
    assert (before.severity, after.severity) == (Severity.NOTE, Severity.STOP)
    assert after.stop is Stop.NONE  # it never stops a signature


def test_nothing_dug_asks_for_no_marks() -> None:
    job = with_work(empty(), PlaceKind.JOB, None, "own-design")
    assert of("call-before-you-dig", job) == []
    assert of("private-lines", job) == []


def test_unknown_private_lines_are_one_point_that_names_each() -> None:
    (found,) = of("private-lines", digging())
    assert found.measured.count("; ") == len(PRIVATE_LINES) - 1 == 9
    assert PRIVATE_LINES["gas"] in found.measured
    one_known = site(digging(), private_lines={"gas": Answer.NO})
    (fewer,) = of("private-lines", one_known)
    assert PRIVATE_LINES["gas"] not in fewer.measured
    assert fewer.key != found.key, "what was settled comes back"


def test_known_private_line_wants_locating() -> None:
    answers = dict.fromkeys(PRIVATE_LINES, Answer.NO) | {"septic": Answer.YES}
    job = site(digging(), private_lines=answers)
    assert ["Septic" in one.what for one in of("private-lines", job)] == [True]
    assert of("private-lines", with_work(job, PlaceKind.JOB, None, "locate-lines")) == []


def test_cutting_stone_is_noted_once() -> None:
    assert [one.severity for one in of("silica", digging())] == [Severity.NOTE]


@pytest.mark.parametrize(("built", "severities"), [(1977, [Severity.WARN]), (1978, []), (None, [Severity.NOT_CHECKED])])
def test_old_paint_before_1978(built, severities) -> None:
    job = with_existing(site(empty(), built_year=built), "Deck", "deck")
    assert [one.severity for one in of("lead-paint", job)] == severities


def test_old_lawn_carries_no_paint() -> None:
    assert of("lead-paint", with_existing(site(empty(), built_year=1950), "Lawn", "turf")) == []


def test_gas_names_its_trade() -> None:
    job = with_run(empty(), "Gas to grill", "gas-run", kind=RunKind.GAS, length=30.0)
    (found,) = of("licensed-trade", job)
    assert found.severity is Severity.NOTE
    assert "licensed gas fitter" in found.what


def test_gas_recipe_without_a_trade_stops() -> None:
    job = with_run(empty(), "Gas to grill", "gas-run", kind=RunKind.GAS, length=30.0)
    shipped = basis()
    own = replace(shipped.assemblies["gas-run"], build=replace(shipped.assemblies["gas-run"].build, trade=""))
    changed = replace(shipped, assemblies={**shipped.assemblies, "gas-run": own})
    found = [one for one in check(job, changed) if one.rule == "licensed-trade"]
    assert Stop.LAW in {one.stop for one in found}


def test_work_near_a_trade_s_matter_is_a_warning_until_that_trade_is_in_the_job() -> None:
    job = with_feature(empty(), "Sprinkler", "sprinkler-head")
    assert [one.severity for one in of("licensed-trade", job)] == [Severity.WARN]
    assert Severity.WARN not in {one.severity for one in of("licensed-trade", with_feature(job, "Device", "backflow"))}


def test_sprinklers_that_are_listed_as_being_there_are_known_and_want_locating() -> None:
    """Whoever counted the heads knows that there are lines to them: nobody asks again, and they are to be located."""
    (asked,) = of("private-lines", digging())
    assert "Sprinklers" in asked.measured
    listed = with_existing(digging(), "heads", kind="sprinklers", count=7)
    (still, there) = of("private-lines", listed)
    assert "Sprinklers" not in still.measured
    assert (there.measured, there.limit) == ("Sprinklers", "located before digging")
    denied = site(listed, private_lines={"sprinklers": Answer.NO})
    assert known_lines(denied.site, denied.existing)["sprinklers"] is Answer.YES
