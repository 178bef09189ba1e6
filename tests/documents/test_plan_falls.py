"""How each finish falls, on the plan in print: an arrow in every zone that has room for one, however small the plan."""

from datetime import date

import pytest

from app.documents.plan_levels import levels_on
from app.documents.plan_parts import Sheet
from app.documents.plan_sheet import TitleBlock, plan_sheets
from app.domain.job import Job
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, site, with_zone


def falling(lot: float) -> Job:
    """Four paved zones side by side on a lot of that side, each falling away down the sheet."""
    job = site(empty(), lot=rectangle(lot, lot, at=(-10, -10)))
    for at, letter in enumerate("ABCD"):
        job = with_zone(job, letter, rectangle(16, 14, at=(16 * at, 0)), "unit-pavers", fall=0.02, fall_bearing=180.0)
    return job


@pytest.mark.parametrize("lot", [70.0, 160.0])
def test_whole_lot_on_one_sheet_still_shows_which_way_each_zone_falls(lot, monkeypatch) -> None:
    drawn: list[str] = []

    def noted(sheet: Sheet):
        for one in levels_on(sheet):
            drawn.append(one)
            yield one

    monkeypatch.setattr("app.documents.plan_drawing.levels_on", noted)
    block = TitleBlock(
        firm="F", license="", client="C", place="P", title="T", standing="Draft", day=str(date(2027, 3, 1))
    )
    plan_sheets(falling(lot), basis(), block, lot=True)
    assert sum("<path" in one for one in drawn) >= 4
