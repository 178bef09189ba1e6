"""The works of a plan as the checks see them."""

from dataclasses import replace

import pytest

from app.domain.checks.engine import check
from app.domain.checks.yard import OutlinesAsked, Yard, unnumbered
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.buried import runs_below
from app.domain.takeoff.meeting import meetings
from tests.plans.yards import basis, empty, with_run, with_zone


def test_works_stand_place_by_place_whatever_order_their_ids_give_them():
    job = with_zone(with_zone(empty(), "A", None, "unit-pavers"), "B", None, "unit-pavers")
    job = with_run(job, "Wall", "seat-wall")
    turned = replace(job, works=job.works[::-1])
    places = [one.place for one in Yard(job, basis()).placed]
    assert [one.place for one in Yard(turned, basis()).placed] == places
    assert len(set(places)) == 3
    assert places[-1] == "Wall"


def test_yard_without_outlines_is_the_same_while_they_are_edited_and_tells_who_asks_for_one():
    job, known = with_zone(with_zone(empty(), "A", None, "unit-pavers"), "B", None, "unit-pavers"), basis()
    drawn = replace(job, alternatives=tuple(replace(one, outline=rectangle(9, 9)) for one in job.alternatives))
    one, other = unnumbered(job, known), unnumbered(drawn, known)
    assert one is not other
    assert one.undrawn is other.undrawn
    assert other.placed == Yard(drawn, known).placed
    for asked in (
        lambda yard: yard.outlines,
        lambda yard: yard.chosen,
        lambda yard: yard.meetings,
        lambda yard: yard.around,
        lambda yard: yard.job.alternatives,
        lambda yard: yard.job.chosen_by_zone(),
        lambda yard: meetings(yard.job),
        lambda yard: runs_below(yard.job),
    ):
        with pytest.raises(OutlinesAsked):
            asked(one.undrawn)
    assert "zones-overlap" in {finding.rule for finding in check(drawn, known)}
    assert "zones-overlap" not in {finding.rule for finding in check(job, known)}
