"""Margins: the sum is the sum of its rows to the cent; nothing divides by nothing."""

from app.domain.looking_back.explain_known import explain_margin
from app.domain.looking_back.margins import JobMargin, margins


def job(number: int, stage: str = "done", contract: int = 50_000_00, **more: int) -> JobMargin:
    costs = {
        "bid_labor": 12_000_00,
        "bid_other": 18_000_00,
        "labor": 13_000_00,
        "receipts": 2_000_00,
        "paid_out": 16_000_00,
    }
    return JobMargin(
        job_id=f"id-{number}", number=number, title="Whitlock", stage=stage, contract=contract, **{**costs, **more}
    )


def test_a_job_by_hand() -> None:
    """50,000 − 30,000 bid = 20,000 (40 %); 50,000 − 31,000 spent = 19,000 (38 %)."""
    one = job(1)
    assert (one.bid_over, one.over) == (20_000_00, 19_000_00)
    assert (one.bid_share, one.share) == (0.4, 0.38)
    assert one.used == 31 / 30


def test_closed_and_under_way_stand_apart_and_add_up() -> None:
    found = margins(
        [job(1), job(2, "building"), job(3, contract=0, bid_labor=0, bid_other=0), job(4, "signed", labor=0)]
    )
    assert [one.number for one in found.closed] == [3, 1]
    assert [one.number for one in found.under_way] == [2, 4]
    assert found.sum is not None
    assert found.sum.over == sum(one.over for one in found.closed)
    assert found.sum.contract == 50_000_00
    assert found.closed[0].share is None
    assert found.closed[0].used is None
    assert margins([]).sum is None


def test_what_is_left_is_explained_to_the_cent() -> None:
    one = job(1, labor=13_000_01)
    for made, expected in ((True, one.over), (False, one.bid_over)):
        trace = explain_margin(one, "USD", made=made)
        assert round(trace.result * 100) == expected == round(sum(step.result for step in trace.steps) * 100)
