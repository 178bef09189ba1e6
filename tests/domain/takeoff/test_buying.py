"""An amount in place becomes units that can be bought: by coverage, directly, or by density, whichever way round."""

import pytest

from app.domain.basis import Material, Task
from app.domain.errors import BadValue
from app.domain.takeoff.buying import bought_amount, check_material, check_task
from app.domain.units.dimension import AREA, LENGTH, VOLUME, WEIGHT


def material(**more) -> Material:
    return Material(key="stone", title="Stone", role="base", **more)


def test_volume_in_place_is_bought_by_weight_through_its_density():
    # 27 cu ft × 140 lb = 3,780 lb = 1.89 short tons of 2,000 lb
    stone = material(buy="ton", placed_density="140*lb/foot**3")
    assert bought_amount(stone, 27.0, VOLUME) == pytest.approx(1.89)
    assert bought_amount(stone, 4_000.0, WEIGHT) == pytest.approx(2.0)


def test_weight_in_place_is_bought_by_volume_through_its_density():
    # 5,400 lb / 100 lb per cu ft = 54 cu ft = 2 cu yd
    stone = material(buy="yard**3", placed_density="100*lb/foot**3")
    assert bought_amount(stone, 5_400.0, WEIGHT) == pytest.approx(2.0)
    assert bought_amount(stone, 54.0, VOLUME) == pytest.approx(2.0)


def test_coverage_counts_before_the_unit():
    paver = material(buy="each", coverage="0.375*foot**2")
    assert bought_amount(paver, 300.0, AREA) == pytest.approx(800.0)


def test_what_cannot_be_bought_is_said_with_how_it_is_bought():
    with pytest.raises(BadValue, match=r"Stone is bought by the .*ton.* and has a density, so .* is wanted"):
        bought_amount(material(buy="ton", placed_density="140*lb/foot**3"), 10.0, LENGTH)


def said(findings) -> list[str]:
    return [one.what for one in findings]


@pytest.mark.parametrize("loss", [0.0, 0.08, 0.99])
def test_loss_is_a_share_below_the_whole(loss):
    assert check_material(material(buy="ton", loss=loss)) == ()


@pytest.mark.parametrize("loss", [-0.01, 1.0, 1.5])
def test_loss_of_the_whole_and_more_is_told(loss):
    assert said(check_material(material(buy="ton", loss=loss))) == [
        f"Stone: a loss of {loss:g} is no share from 0 to 1; 8% is 0.08."
    ]


def test_what_has_no_title_is_told_by_its_key():
    nameless = Material(key="stone-34", title="", role="", buy="ton")
    assert said(check_material(nameless)) == ["stone-34: it fills no role; say what it is for."]
    task = Task(key="lay-it", title="", unit="foot**2", hours=(3, 2, 1))
    assert said(check_task(task))[0].startswith("lay-it: ")
    assert said(check_task(Task(key="lay-it", title="Lay", unit="foot**2", hours=(3, 2, 1))))[0].startswith("Lay: ")


@pytest.mark.parametrize("rising", [(0.05, 0.07, 0.1), (0.5, 0.5, 0.5), (0.0, 0.1, 0.1)])
def test_hours_and_set_up_that_rise_are_fine(rising):
    assert check_task(Task(key="lay", title="Lay", unit="foot**2", hours=(0.05, 0.07, 0.1), setup=rising)) == ()
    above_nothing = tuple(hours + 0.01 for hours in rising)
    assert check_task(Task(key="lay", title="Lay", unit="foot**2", hours=above_nothing)) == ()
    assert "above 0" in said(check_task(Task(key="lay", title="Lay", unit="foot**2", hours=(0.0, *rising[1:]))))[0]


@pytest.mark.parametrize("wrong", [(-0.1, 0.1, 0.2), (0.2, 0.1, 0.3), (0.1, 0.3, 0.2)])
def test_hours_or_set_up_that_do_not_rise_are_told(wrong):
    assert "must rise" in said(check_task(Task(key="lay", title="Lay", unit="foot**2", hours=wrong)))[0]
    setup = Task(key="lay", title="Lay", unit="foot**2", hours=(0.1, 0.2, 0.3), setup=wrong)
    assert "set-up hours" in said(check_task(setup))[0]


@pytest.mark.parametrize(("covers", "agrees"), [(17, True), (20, True), (23, True), (16.9, False), (23.1, False)])
def test_coverage_and_density_may_be_fifteen_percent_apart(covers, agrees):
    # covers × 1 ft × 100 lb per cu ft beside a short ton of 2,000 lb: 1,700 and 2,300 are 15 % away
    stone = material(buy="ton", placed_density="100*lb/foot**3", thickness="1*foot", coverage=f"{covers}*foot**2")
    told = said(check_material(stone))
    assert agrees == (told == [])
    assert agrees or "by its unit 2,000 lb; the two are more than 15% apart" in told[0]
