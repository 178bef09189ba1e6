"""The Phases sheet: one test a thing a person does, with good input and bad."""

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

from app.domain.job import Firmness
from app.domain.phasing import phase_of
from app.services import checks
from app.services.jobs import changed, save
from app.services.payments import payments
from app.services.sheets import sheet
from tests.web.yard import Yard, order, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def view(yard: Yard):
    return sheet(yard.office, yard.id)


def priced(yard: Yard) -> None:
    """A terrace whose every material has a price."""
    yard.zone(assembly="gravel-surface")
    for finding in [one for one in view(yard).findings if one.rule == "price-missing"]:
        checks.set_price(yard.office, finding.where.removeprefix("material:"), Decimal(30), order())
    assert view(yard).estimate.price_cents > 0


def phase(yard: Yard, title: str, **fields: str):
    answer = yard.post("phases/phase/new", {"title": title, **fields})
    assert answer.status_code == 200, answer.text
    return yard.job.phases[-1]


def test_empty_sheet_says_what_to_do_first(yard: Yard) -> None:
    page = text_of(yard.get("phases").text)
    assert "All in one go" in page
    assert "Add the first phase" in page


def test_first_phase_takes_every_zone(yard: Yard) -> None:
    yard.zone()
    first = phase(yard, "Terrace")
    assert first.number == 1
    assert yard.job.zones[0].phase_id == first.id
    assert phase(yard, "Garden").number == 2


@pytest.mark.parametrize(("start", "firmness"), [("2027-05-08", Firmness.FIRM), ("2027-05-09", Firmness.RANGE)])
def test_phase_over_sixty_days_out_begins_as_a_range(yard: Yard, start, firmness) -> None:
    """The clock of the tests stands at March 9, 2027; 60 days later is May 8. Source: the calendar."""
    assert phase(yard, "Garden", start=start).firmness is firmness


def test_firmness_that_was_said_holds(yard: Yard) -> None:
    made = phase(yard, "Garden", start="2027-09-01", firmness="rise", rise="4 %")
    assert (made.firmness, made.rise) == (Firmness.RISE, Decimal("0.04"))
    assert "(4%)" in text_of(yard.get("phases").text)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"title": ""}, "What the phase is called is empty"),
        ({"title": "Garden", "start": "2027-06-02", "done": "2027-06-01"}, "before it starts"),
        ({"title": "Garden", "start": "soon"}, "soon"),
    ],
)
def test_phase_that_makes_no_sense_is_refused_with_typed_text_kept(yard: Yard, fields, sentence) -> None:
    answer = yard.post("phases/phase/new", fields)
    assert answer.status_code == 422
    assert sentence in text_of(answer.text) or sentence in answer.text
    assert fields["title"] in answer.text
    assert yard.job.phases == ()


def test_phase_is_changed_and_done_before_start_is_refused(yard: Yard) -> None:
    made = phase(yard, "Garden", start="2027-04-01")
    fields = {"title": "Garden and lights", "done": "2027-04-20", "version": str(yard.version("phase", made.id))}
    assert yard.post(f"phases/phase/{made.id}", fields).status_code == 200
    assert yard.job.phases[0].title == "Garden and lights"
    late = {"done": "2027-03-20", "version": str(yard.version("phase", made.id))}
    assert yard.post(f"phases/phase/{made.id}", late).status_code == 422
    assert str(yard.job.phases[0].done) == "2027-04-20"


def test_zone_moves_to_another_phase_with_its_price(yard: Yard) -> None:
    priced(yard)
    first, second = phase(yard, "Terrace"), phase(yard, "Garden")
    before = dict(view(yard).estimate.price_by_phase)
    zone = yard.job.zones[0]
    fields = {"phase_id": str(second.id), "version": str(yard.version("zone", zone.id))}
    assert yard.post(f"phases/zone/{zone.id}", fields).status_code == 200
    after = view(yard).estimate.price_by_phase
    moved = view(yard).estimate.price_by_zone[str(zone.id)]
    assert moved > 100_000
    assert after[str(second.id)] - before.get(str(second.id), 0) == pytest.approx(moved, rel=0.2)
    assert before[str(first.id)] - after.get(str(first.id), 0) == pytest.approx(moved, rel=0.2)


def in_phase(yard: Yard, thing) -> int:
    """The number of the phase a thing is built in."""
    found = phase_of(yard.job, thing)
    return next(one.number for one in yard.job.phases if one.id == found)


def furnished(yard: Yard) -> None:
    """Two phases; a terrace with a wall that was put into the second by itself, and a line that is in no zone."""
    yard.zone(assembly="unit-pavers")
    zone = yard.job.zones[0]
    phase(yard, "Terrace")
    second = phase(yard, "Garden")
    yard.post("plan/run/new", {"title": "Low wall", "kind": "wall", "length": "10", "zone_id": str(zone.id)})
    yard.post("plan/run/new", {"title": "Drain", "kind": "drain", "length": "30"})
    yard.post("plan/feature/new", {"title": "Grill", "count": "1", "zone_id": str(zone.id)})
    wall = yard.job.runs[0]
    yard.post(f"phases/run/{wall.id}", {"phase_id": str(second.id), "version": str(yard.version("run", wall.id))})


def test_all_of_a_zone_moves_at_once_and_one_undo_takes_it_back(yard: Yard) -> None:
    furnished(yard)
    zone, (first, second) = yard.job.zones[0], yard.job.phases
    fields = {"phase_id": str(second.id), "version": str(yard.version("zone", zone.id))}
    answer = yard.post(f"phases/zone/{zone.id}/move", fields)
    assert answer.status_code == 200
    assert [in_phase(yard, one) for one in (yard.job.zones[0], *yard.job.runs, *yard.job.features)] == [2, 2, 1, 2]
    assert "with Low wall, Grill" in text_of(answer.text)
    yard.post(f"phases/zone/{zone.id}/move", {"phase_id": str(first.id), "version": str(yard.version("zone", zone.id))})
    assert [in_phase(yard, one) for one in (yard.job.zones[0], *yard.job.runs, *yard.job.features)] == [1, 1, 1, 1]
    assert "Zone A, Dining terrace to phase 1" in text_of(yard.get("phases").text)
    yard.post("undo", {"sheet": "phases"})
    assert [in_phase(yard, one) for one in (yard.job.zones[0], *yard.job.runs, *yard.job.features)] == [2, 2, 1, 2]


def test_recipe_put_into_another_phase_by_itself_comes_back_to_its_zone(yard: Yard) -> None:
    furnished(yard)
    zone, (first, second), work = yard.job.zones[0], yard.job.phases, yard.works[0]
    edit = changed("work", work.id, yard.version("work", work.id), {"phase_id": second.id})
    save(yard.office, yard.id, (edit,), order())
    yard.post(f"phases/zone/{zone.id}/move", {"phase_id": str(first.id), "version": str(yard.version("zone", zone.id))})
    assert {one.phase for one in view(yard).estimate.requirements if one.work_id == work.id} == {str(first.id)}


def test_everything_of_a_phase_moves_to_another(yard: Yard) -> None:
    furnished(yard)
    first, second = yard.job.phases
    answer = yard.post(f"phases/phase/{first.id}/move", {"phase_id": str(second.id)})
    assert answer.status_code == 200
    worked = view(yard).estimate
    assert set(worked.price_by_phase) <= {str(second.id)}
    assert {one.phase for one in worked.requirements} == {str(second.id)}
    assert "Nothing is built in this phase yet" in text_of(answer.text)
    yard.post("undo", {"sheet": "phases"})
    assert in_phase(yard, yard.job.zones[0]) == 1


@pytest.mark.parametrize("kind", ["same", "gone", "empty"])
def test_move_to_no_other_phase_is_refused_in_a_sentence(yard: Yard, kind: str) -> None:
    furnished(yard)
    first = yard.job.phases[0]
    to = {"same": str(first.id), "gone": str(yard.id), "empty": ""}[kind]
    before = yard.job
    answer = yard.post(f"phases/phase/{first.id}/move", {"phase_id": to})
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.text
    assert yard.job == before


def test_zone_that_somebody_moved_meanwhile_shows_both(yard: Yard) -> None:
    furnished(yard)
    zone, (first, second) = yard.job.zones[0], yard.job.phases
    third = phase(yard, "Later")
    read_at = str(yard.version("zone", zone.id))
    yard.post(f"phases/zone/{zone.id}/move", {"phase_id": str(second.id), "version": read_at})
    answer = yard.post(f"phases/zone/{zone.id}/move", {"phase_id": str(third.id), "version": read_at})
    assert answer.status_code == 409
    assert in_phase(yard, yard.job.zones[0]) == 2
    assert first.number == 1


def test_line_in_a_later_phase_below_a_surface_is_said_here_and_counted(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    phase(yard, "Terrace")
    second = phase(yard, "Kitchen")
    before = view(yard).open_count
    yard.post(
        "phases/run/new",
        {"title": "Gas line", "kind": "gas", "points": "-5,6 / 25,6", "phase_id": str(second.id)},
    )
    assert len(yard.job.runs[0].points) == 2
    page = text_of(yard.get("phases").text)
    assert "Gas line comes in phase 2" in page
    assert "lay a sleeve" in page
    assert view(yard).open_count > before


def test_what_comes_again_with_each_phase_is_named(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    yard.post("phases/work/new", {"place": "job", "place_id": "", "assembly": "mobilize"})
    phase(yard, "Terrace")
    phase(yard, "Garden")
    assert "Comes again with each phase:" in text_of(yard.get("phases").text)


def test_phase_taken_out_gives_its_zones_back_to_the_first(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    first, second = phase(yard, "Terrace"), phase(yard, "Garden")
    zone = yard.job.zones[0]
    yard.post(f"phases/zone/{zone.id}", {"phase_id": str(second.id), "version": str(yard.version("zone", zone.id))})
    yard.post(f"phases/phase/{second.id}/remove", {"version": str(yard.version("phase", second.id))})
    assert [one.id for one in yard.job.phases] == [first.id]
    page = yard.get("phases")
    assert page.status_code == 200
    assert "Zone A, Dining terrace" in text_of(page.text)


def test_usual_payments_add_up_and_can_be_taken_over(yard: Yard) -> None:
    priced(yard)
    usual = payments(view(yard))
    assert usual.usual
    assert sum(one.cents for one in usual.lines) == usual.sum_cents > 0
    assert yard.post("phases/payments/usual").status_code == 200
    own = payments(view(yard))
    assert not own.usual
    assert own.sum_cents == usual.sum_cents
    assert len(own.lines) == len(usual.lines) == len(yard.job.payments)
    assert yard.post("phases/payments/usual").status_code == 422


def test_payments_above_the_sum_are_said_in_a_sentence(yard: Yard) -> None:
    priced(yard)
    yard.post("phases/payment/new", {"event": "At signing", "cents": "90,000,000"})
    yard.post("phases/payment/new", {"event": "At the end"})
    page = yard.get("phases")
    assert page.status_code == 200
    assert "They do not add up" in text_of(page.text)
    for place in ("proposal", "proposal/draft"):
        page = yard.get(place)
        assert page.status_code == 200, place
        assert "add up to more than the contract sum" in text_of(page.text), place


def test_payment_is_added_changed_and_taken_out(yard: Yard) -> None:
    priced(yard)
    assert yard.post("phases/payment/new", {"event": "Base compacted", "share": "40 %"}).status_code == 200
    payment = yard.job.payments[0]
    assert payment.share == Decimal("0.4")
    fields = {"event": "Base compacted and checked", "version": str(yard.version("payment", payment.id))}
    assert yard.post(f"phases/payment/{payment.id}", fields).status_code == 200
    assert "Base compacted and checked" in text_of(yard.get("phases").text)
    assert yard.post(f"phases/payment/{payment.id}/remove").status_code == 200
    assert yard.job.payments == ()


@pytest.mark.parametrize("fields", [{"event": ""}, {"event": "At signing", "share": "lots"}])
def test_payment_that_cannot_be_read_is_refused(yard: Yard, fields) -> None:
    answer = yard.post("phases/payment/new", fields)
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.text


def test_payments_without_a_price_say_so(yard: Yard) -> None:
    for work in yard.job.works:  # those a job begins with
        yard.post(f"phases/work/{work.id}/remove")
    assert "There is no price yet to pay." in text_of(yard.get("phases").text)


def test_approval_is_asked_for_and_holds_up_the_phase_until_it_is_there(yard: Yard) -> None:
    yard.zone()
    phase(yard, "Terrace", start="2027-03-20")
    sent = {"title": "The board's yes", "kind": "association", "submitted": "2027-03-08", "days": "21"}
    page = text_of(yard.post("phases/approval/new", sent).text)
    assert "Phase 1 is to begin on March 20, before “The board's yes” is there: it is due March 29." in page
    one = yard.job.approvals[0]
    page = text_of(yard.post(f"phases/approval/{one.id}", {"approved": "2027-03-12", "version": "1"}).text)
    assert "without The board's yes" not in page
    assert "approved" in page


@pytest.mark.parametrize(("field", "typed"), [("days", "-3"), ("submitted", "soon"), ("kind", "king"), ("title", "")])
def test_approval_that_makes_no_sense_is_refused_and_kept_as_typed(yard: Yard, field, typed) -> None:
    answer = yard.post("phases/approval/new", {"title": "Permit", "kind": "permit", "days": "21", field: typed})
    assert answer.status_code == 422
    assert yard.job.approvals == ()


def test_where_machines_come_in_is_typed_on_the_site(yard: Yard) -> None:
    at = f"site/site/{yard.job.site.id}"
    assert yard.post(at, {"version": "1", "way_in": "75, 108"}).status_code == 200
    assert yard.job.site.way_in == (75.0, 108.0)
    assert yard.post(at, {"version": "2", "way_in": "by the gate"}).status_code == 422
    assert yard.job.site.way_in == (75.0, 108.0)
