"""Care by month from what was built; visits and calls of the warranty; what may be shown of a yard, and how rounded."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from app.domain.errors import BadValue
from app.domain.handover.care import CareSheet, care_sheet
from app.domain.handover.papers import permission_of, price_band, refuse_permission
from app.domain.handover.warranty import call_costs, explain_spent, refuse_moving, refuse_senseless, reserve_of, visits
from app.domain.job import HandedOver, Job, Photo, ShowPermission, WarrantyCall, WarrantyVisit
from app.domain.plan import rectangle
from app.interchange.after_lists import care_lists
from app.interchange.library_file import load_library
from tests.plans import yards

LISTS = care_lists()
DAY = date(2027, 6, 1)


def yard(*recipes: str) -> Job:
    job = yards.empty()
    for at, recipe in enumerate(recipes):
        job = yards.with_zone(job, "ABCDE"[at], rectangle(10, 10, at=(60 + 12 * at, 0)), recipe)
    return job


def care(job: Job, over: date | None = DAY) -> CareSheet:
    return care_sheet(job, yards.basis(), LISTS, handed_over=over, today=date(2027, 3, 15))


def words(sheet: CareSheet, month: int) -> set[str]:
    return {row.words for number, rows in sheet.months if number == month for row in rows}


def test_months_begin_with_the_hand_over_and_a_recipes_own_words_fall_in_their_season() -> None:
    sheet = care(yard("unit-pavers"))
    assert [month for month, _ in sheet.months] == [6, 7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5]
    assert "Sweep joint fill back in where it has washed out." in words(sheet, 4)
    assert "Blow leaves off; wet leaves stain." in words(sheet, 10)
    assert care(yard("unit-pavers"), None).months[0][0] == 3


def test_same_care_of_two_zones_is_said_once_with_both_letters() -> None:
    (row,) = dict(care(yard("unit-pavers", "unit-pavers")).months)[10]
    assert row.where == ("A", "B")


def test_what_is_due_after_days_is_dated_from_the_hand_over() -> None:
    sheet = care(yard("sod-lawn", "concrete-slab"))
    spans = {one.row.words[:12]: (one.first, one.last) for one in sheet.first}
    assert spans["First mowing"] == (date(2027, 6, 15), None)
    assert spans["New concrete"] == (DAY, date(2027, 6, 29))  # 28 days: the age at which strength is stated (ACI 318)
    assert all(one.first is None for one in care(yard("sod-lawn"), None).first)


def test_cautions_follow_from_what_was_built() -> None:
    titles = {one.title for one in care(yard("concrete-slab")).cautions}
    assert {"Ice melt", "Chemicals", "Digging"} <= titles
    assert "Gas" not in titles
    grilled = yards.with_feature(yard("concrete-slab"), "Grill", "grill")
    assert {"Gas", "Electricity outdoors"} & {one.title for one in care(grilled).cautions} == {"Gas"}


def test_nothing_built_wants_no_care() -> None:
    sheet = care(yards.empty())
    assert sheet.empty
    assert sheet.cautions == ()


def test_every_recipe_that_stays_in_the_yard_has_care_and_every_season_its_months() -> None:
    library = load_library()
    for row in (*LISTS.rows, *LISTS.cautions):
        assert set(row.asked_by.recipes) <= library.assemblies.keys()
        assert row.source
    assert {season for one in library.assemblies.values() for season in one.care} <= LISTS.when.keys()
    lying = {"surfaces", "walls and steps", "fire", "water", "cooking", "irrigation", "planting", "lawn", "structures"}
    asked = {key for row in LISTS.rows for key in row.asked_by.recipes}
    bare = {one.key for one in library.assemblies.values() if one.group in lying and not one.care} - asked
    assert bare == {"cap-sprinklers", "pump-concrete", "wall-engineering"}  # nothing of them stays to be cared for


def test_visits_are_proposed_from_the_hand_over_and_a_typed_day_stands() -> None:
    moved = WarrantyVisit(id=uuid4(), after_days=90, day=date(2027, 9, 4), done_on=date(2027, 9, 4))
    found = visits(DAY, LISTS.visits, (moved,))
    assert [str(one.day) for one in found] == ["2027-07-01", "2027-09-04", "2028-05-31"]
    assert [one.done_on for one in found] == [None, date(2027, 9, 4), None]
    with pytest.raises(BadValue, match="Look at the year"):
        refuse_moving(found[0], date(2028, 7, 1))
    refuse_moving(found[0], date(2027, 7, 20))


def call(**more: object) -> WarrantyCall:
    return WarrantyCall(id=uuid4(), day=DAY, what="A paver rocks", **more)  # type: ignore[arg-type]


def test_calls_cost_their_hours_at_the_crews_mean_hour_and_only_what_the_firm_bears_takes_of_the_reserve() -> None:
    """Worked by hand: 2.5 h × $48.40 = $121.00, with $30 of material $151.00; the second call is the client's."""
    job = replace(yards.empty(), warranty_calls=(call(quarters=10, cents=30_00), call(quarters=4, covered=False)))
    costs = call_costs(job, Decimal("48.40"))
    assert sorted(one.cents for one in costs) == [48_40, 151_00]
    held = reserve_of(500_00, costs)
    assert (held.spent_cents, held.left_cents) == (151_00, 349_00)
    assert round(explain_spent(costs, Decimal("48.40"), "USD").result * 100) == 151_00
    unknown = call_costs(job, None)
    assert all(one.unknown for one in unknown)


@pytest.mark.parametrize("wrong", [{"cause": "luck"}, {"cents": -1}, {"quarters": 1601}])
def test_senseless_call_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(BadValue):
        refuse_senseless(call(**wrong))


@pytest.mark.parametrize(
    ("cents", "band"),
    [(42_713_00, (38_000_00, 47_000_00)), (50_000_00, (45_000_00, 55_000_00)), (83_100_00, (70_000_00, 95_000_00))],
)
def test_price_is_shown_as_a_rounded_band_around_it(cents: int, band: tuple[int, int]) -> None:
    assert price_band(cents) == band
    assert band[0] < cents < band[1]


def test_permission_says_who_when_and_what_and_carries_no_name_or_street() -> None:
    photo = Photo(id=uuid4(), file="0" * 64)
    job = replace(yards.empty(), photos=(photo,), handed_over=(HandedOver(id=uuid4(), day=DAY),))
    good = ShowPermission(id=uuid4(), day=DAY, given_by="Teodor Asante", words="A brick walk", photo_ids=(photo.id,))
    refuse_permission(job, good, DAY)
    for wrong in (
        {"given_by": ""},
        {"words": ""},
        {"words": "The Asante walk"},
        {"photo_ids": ()},
        {"photo_ids": (uuid4(),)},
        {"day": date(2027, 6, 2)},
    ):
        with pytest.raises(BadValue):
            refuse_permission(job, replace(good, **wrong), DAY)  # type: ignore[arg-type]
    assert permission_of(replace(job, show_permissions=(good,))) is good
    assert permission_of(replace(job, show_permissions=(replace(good, withdrawn_on=DAY),))) is None
