"""What slows work: rows of the tables with both sides of their limits, months, and what is set by hand."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from app.domain.basis import Firm, Rule, Season
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import Explaining
from app.domain.costing.site_factors import applying, site_factors, slowed, slowing_of
from app.domain.costing.site_tables import BEFORE, tables_of
from app.domain.job import OwnFactor
from app.interchange.library_file import load_library
from tests.domain.costing.three_zones import FIRST, JOB, SECOND, firm_with

SITE = JOB.site
HOT = Firm(
    seasons={"7": Season(cause="heat", factor=Decimal("1.1")), "2": Season(cause="frost", factor=Decimal("1.3"))}
)
MACHINE = {"machine-passes": Rule(id="machine-passes", title="", value=4.25, unit="ft")}


@pytest.mark.parametrize(
    ("width", "way", "factor"),
    [(2.99, "by hand", 1.35), (3.0, "by barrow", 1.2), (4.24, "by barrow", 1.2), (4.25, "a machine passes", 1.0)],
)
def test_barrow_or_machine_goes_by_the_width_of_the_firms_own_machine(width: float, way: str, factor: float) -> None:
    found = slowing_of(replace(SITE, access_width=width), (), Firm(), MACHINE).site["access"]
    assert found.factor == factor
    assert found.why.endswith(way)
    assert found.row.endswith(f"{way}: × {factor:g}")
    assert found.row.split(",")[0] in found.table  # the row is one of the table's


@pytest.mark.parametrize(
    ("cause", "site", "row"),
    [
        ("haul", {"haul_distance": 149.9}, "from 60 ft: × 1.1"),
        ("haul", {"haul_distance": 150.0}, "from 150 ft: × 1.25"),
        ("slope", {"slope": 0.0799}, "from 0%: × 1"),
        ("slope", {"slope": 0.08}, "from 8%: × 1.1"),
        ("soil", {"soil": "clay"}, "clay: × 1.2"),
        ("soil", {"soil": ""}, ""),
        ("haul", {"haul_distance": None}, ""),
    ],
)
def test_row_of_the_table_that_a_site_comes_to_is_told(cause: str, site: dict, row: str) -> None:
    found = site_factors(replace(SITE, **site))[cause]
    assert found.row == row
    assert row in found.table
    assert row.endswith(f"× {found.factor:g}") or found.factor == 1.0


def test_factor_set_by_hand_stands_with_its_reason_and_what_it_replaces() -> None:
    site = replace(SITE, soil="clay", slowing={"soil": OwnFactor(factor=1.05, reason="dry and loose")})
    found = site_factors(site)["soil"]
    assert (found.factor, found.reason) == (1.05, "dry and loose")
    assert found.row == "set by hand; worked out it would be × 1.2"
    assert site_factors(replace(site, slowing={}))["soil"].factor == 1.2


def test_month_a_phase_begins_in_slows_the_tasks_that_name_it() -> None:
    phases = tuple(replace(one, start=date(2027, month, 10)) for one, month in zip(JOB.phases, (7, 2), strict=True))
    slowing = slowing_of(SITE, phases, HOT, {})
    hot, cold = slowing.of(str(FIRST)), slowing.of(str(SECOND))
    assert slowed(10, ("heat",), hot) == pytest.approx(11)
    assert slowed(10, ("heat",), cold) == 10
    assert [one.cause for one in applying(("soil",), cold)] == ["soil", "frost"]
    assert slowed(10, ("soil",), cold) == pytest.approx(13)
    assert hot["heat"].row == "July: × 1.1"
    assert hot["heat"].table == "February frost: × 1.3, July heat: × 1.1"
    assert slowing.of("") is slowing.site  # work of no phase begins nobody knows when


def test_what_slows_is_the_same_object_while_what_it_rests_on_is() -> None:
    phases = tuple(replace(one, start=date(2027, 7, 10)) for one in JOB.phases)
    assert slowing_of(SITE, phases, HOT, {}) is slowing_of(replace(SITE, sun_note="late sun"), phases, HOT, {})
    later = tuple(replace(one, start=date(2027, 7, 20), title="x") for one in JOB.phases)
    assert slowing_of(SITE, later, HOT, {}) is slowing_of(SITE, phases, HOT, {})
    assert slowing_of(SITE, later, Firm(), {}) is slowing_of(SITE, (), Firm(), {})


def test_season_makes_its_phase_dearer_and_no_other_and_opens() -> None:
    tasks = {key: replace(one, slows=(*one.slows, "heat")) for key, one in firm_with().tasks.items()}
    job = replace(JOB, phases=tuple(replace(one, start=date(2027, 6 + one.number, 1)) for one in JOB.phases))
    plain = replace(firm_with(), tasks=tasks)
    hot = replace(firm_with(seasons={"7": Season(cause="heat", factor=Decimal("1.5"))}), tasks=tasks)
    before, after = estimate(job, plain), estimate(job, hot)
    hours = {
        line.key + line.zone: (line.hours, was.hours) for line, was in zip(after.lines, before.lines, strict=False)
    }
    laid = [(now, was) for key, (now, was) in hours.items() if key.startswith("lay")]
    assert laid
    assert all(now == pytest.approx(was * 1.5) for now, was in laid)
    assert [now == was for key, (now, was) in hours.items() if key.startswith("spread")] == [True]
    trace = Explaining(job, hot, after).figure(f"factor:heat:{FIRST}")
    assert (trace.result, trace.expression) == (1.5, "begins in July")
    worked = Explaining(job, hot, after).figure(next(one.figure for one in after.lines if one.key == "lay"))
    assert "heat factor" in next(step for step in worked.steps if step.label == "Lay: hours").expression


@pytest.mark.parametrize(
    ("field", "cause", "rows"),
    [
        ("haul_distance", "haul", [(0, 1), (59.9, 1), (60, 1.1), (150, 1.25), (299.9, 1.25), (300, 1.4), (1000, 1.4)]),
        ("slope", "slope", [(0, 1), (0.149, 1.1), (0.15, 1.25), (0.249, 1.25), (0.25, 1.45), (1, 1.45)]),
        ("soil", "soil", [("", 1), ("sand", 1), ("loam", 1), ("fill", 1.1), ("clay", 1.2), ("rock", 1.6)]),
        ("access", "access", [("", 1), ("easy", 1), ("tight", 1.2), ("hard", 1.35)]),
        ("access_width", "access", [(-1, 1.35), (0, 1.35), (2.99, 1.35), (3, 1.2), (4.99, 1.2), (5, 1), (12, 1)]),
    ],
)
def test_every_row_of_every_table(field: str, cause: str, rows: list[tuple[object, float]]) -> None:
    # the figures are assumptions of the program, held here so that none changes by itself: a released job keeps its price
    for value, factor in rows:
        site = replace(SITE, access_width=None)
        found = site_factors(replace(site, **{field: value}))[cause]
        assert found.factor == factor, value
        assert found.why


SHIPPED = load_library().basis().rules


@pytest.mark.parametrize(
    ("width", "distance", "factor", "words"),
    [
        (4.99, 150.0, 1.25, "by barrow or hand"),
        (5.0, 150.0, 1.05, "with a machine"),
        (5.0, 149.9, 1.0, "with a machine"),
        (8.0, 300.0, 1.15, "with a machine"),
        (2.0, 60.0, 1.1, "by barrow or hand"),
        (None, 300.0, 1.4, "by barrow or hand"),
    ],
)
def test_carrying_goes_by_machine_where_one_passes_else_by_barrow(
    width: float | None, distance: float, factor: float, words: str
) -> None:
    found = slowing_of(replace(SITE, access_width=width, haul_distance=distance), (), Firm(), SHIPPED).site["haul"]
    assert (found.factor, found.why) == (factor, f"{distance:g} ft from the truck, {words}")
    assert found.row in found.table


def test_shipped_rules_hold_the_tables_a_basis_without_them_was_priced_by() -> None:
    shipped = tables_of(SHIPPED)
    assert tables_of({}) == BEFORE
    told = ("access", "told", "haul_by_barrow", "slope", "soil")
    assert [getattr(shipped, name) for name in told] == [getattr(BEFORE, name) for name in told]
    assert shipped.haul_by_machine
    by_machine = dict(shipped.haul_by_machine)
    assert all(by_machine.get(least, 1.0) <= factor for least, factor in shipped.haul_by_barrow), "never slower"
    slow = [rule for key, rule in SHIPPED.items() if key.startswith("slow-")]
    assert all(rule.source == "Common practice, no source" for rule in slow)


def test_a_rule_the_firm_changed_changes_the_factor_and_only_that_one() -> None:
    rules = {**SHIPPED, "slow-soil-clay": replace(SHIPPED["slow-soil-clay"], value=1.5)}
    clay = replace(SITE, soil="clay", haul_distance=80.0, access_width=4.0)
    own, shipped = (slowing_of(clay, (), Firm(), one).site for one in (rules, SHIPPED))
    assert own["soil"].factor == 1.5
    assert "clay: × 1.5" in own["soil"].table
    assert {cause for cause in own if own[cause] != shipped[cause]} == {"soil"}


def test_a_row_that_is_none_counts_for_nothing() -> None:
    odd = {**SHIPPED, "slow-slope-steep": Rule(id="slow-slope-steep", title="", value=9.0)}
    assert tables_of(odd).slope == tables_of(SHIPPED).slope


def test_what_is_not_known_says_so_and_slows_nothing() -> None:
    nothing = site_factors(replace(SITE, access_width=None, access="", haul_distance=None, slope=None, soil=""))
    assert {one.why for one in nothing.values()} == {
        "access not known", "haul not known", "slope not known", "soil not known"
    }  # fmt: skip
    assert {one.factor for one in nothing.values()} == {1.0}


def test_months_beyond_the_year_are_told_nowhere() -> None:
    odd = Firm(
        seasons={str(n): Season(cause="wet", factor=Decimal("1.2")) for n in (0, 1, 12, 13)}
        | {"x": Season(cause="wet")}
    )
    phases = tuple(replace(one, start=date(2027, 12, 1)) for one in JOB.phases)
    found = slowing_of(SITE, phases, odd, {}).of(str(FIRST))["wet"]
    assert found.table == "January wet: × 1.2, December wet: × 1.2"
