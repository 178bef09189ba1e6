"""The works of a plan as the checks see them."""

from dataclasses import replace

from app.domain.checks.yard import Yard
from tests.plans.yards import basis, empty, with_run, with_zone


def test_works_stand_place_by_place_whatever_order_their_ids_give_them():
    job = with_zone(with_zone(empty(), "A", None, "unit-pavers"), "B", None, "unit-pavers")
    job = with_run(job, "Wall", "seat-wall")
    turned = replace(job, works=job.works[::-1])
    places = [one.place for one in Yard(job, basis()).placed]
    assert [one.place for one in Yard(turned, basis()).placed] == places
    assert len(set(places)) == 3
    assert places[-1] == "Wall"
