"""The site sheet: one test a thing a person does, with good input and bad."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import pytest
from PIL import Image

from app.domain.job import Answer, Fate, PlaceKind, Setback
from app.domain.plan.measures import area
from app.services.jobs import NewJob, begin_job, changed, made, save
from app.services.sheets import sheet
from tests.web.yard import Yard, order, text_of

SLAB = {"title": "Old patio", "kind": "concrete", "fate": "goes", "area": "180", "thickness": "4 in", "count": "1"}


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def save_site(yard: Yard, **fields: str):
    site = yard.job.site
    return yard.post(f"site/site/{site.id}", {"version": str(yard.version("site", site.id)), **fields})


def test_empty_site_says_what_to_do_first_and_cautions(yard: Yard) -> None:
    page = yard.get("site")
    assert page.status_code == 200
    words = text_of(page.text)
    assert "Type the house first" in words
    assert "Call 811" in words
    assert "These are not known yet: Gas line to a grill, heater or fire" in words


def test_house_and_lot_are_typed_and_shown_again(yard: Yard) -> None:
    answer = save_site(
        yard,
        **{
            "house.shape": "L",
            "house.width": "50",
            "house.depth": "30",
            "house.cut_width": "20",
            "house.cut_depth": "10",
            "lot.shape": "rectangle",
            "lot.width": "80",
            "lot.depth": "120",
            "datum": "left rear corner",
            "north": "15",
            "seen_on": "2027-03-08",
        },
    )
    assert answer.status_code == 200
    site = yard.job.site
    assert area(site.house) == pytest.approx(1300)
    assert area(site.lot) == pytest.approx(9600)
    assert "<svg" in answer.text
    assert 'value="50&#39;-0&#34;"' in answer.text


@pytest.mark.parametrize(
    ("field", "typed"),
    [("access_width", "narrow"), ("haul_off_miles", "nan"), ("haul_off_miles", "-3"), ("slope", "steep"),
     ("coverage_limit", "140"), ("built_year", "19"), ("north", "inf"), ("soil", "cheese"), ("seen_on", "31/31"),
     ("house.shape", "blob"), ("private_lines.gas", "perhaps")],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_changes(yard: Yard, field: str, typed: str) -> None:
    before = yard.job.site
    answer = save_site(yard, **{field: typed})
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.text
    assert yard.job.site == before


def test_private_lines_are_answered_and_the_caution_follows(yard: Yard) -> None:
    save_site(yard, **{"private_lines.gas": "yes", "private_lines.pool": "no", "private_lines.septic": "not known"})
    assert yard.job.site.private_lines["gas"] is Answer.YES
    words = text_of(yard.get("site").text)
    assert "There are private lines: Gas line to a grill, heater or fire." in words
    assert "These are not known yet: Septic tank or field" in words


def test_old_house_brings_the_lead_caution(yard: Yard) -> None:
    assert "Lead paint" not in yard.get("site").text
    save_site(yard, built_year="1977")  # 40 CFR 745: houses built before 1978
    assert "Lead paint" in yard.get("site").text
    save_site(yard, built_year="1978")
    assert "Lead paint" not in yard.get("site").text


def test_what_goes_prices_itself_in_the_same_change(yard: Yard) -> None:
    answer = yard.post("site/existing/new", SLAB)
    assert answer.status_code == 200
    assert [(w.assembly, w.place) for w in yard.works] == [("demolish-slab", PlaceKind.EXISTING)]
    assert sheet(yard.office, yard.id).estimate.price_by_work[str(yard.works[0].id)] > 0
    yard.post("undo", {"sheet": "site"})
    assert (yard.job.existing, yard.works) == ((), ())


def test_another_fate_swaps_the_recipe_and_undo_swaps_it_back(yard: Yard) -> None:
    yard.post("site/existing/new", {**SLAB, "kind": "tree", "title": "Maple", "height": "40", "thickness": "18 in"})
    tree = yard.job.existing[0]
    answer = yard.post(f"site/existing/{tree.id}", {"fate": "protected", "version": "1"})
    assert answer.status_code == 200
    assert [w.assembly for w in yard.works] == ["protect-tree"]
    yard.post(f"site/existing/{tree.id}", {"fate": "stays", "version": "2"})
    assert yard.works == ()
    yard.post("undo", {"sheet": "site"})
    assert [w.assembly for w in yard.works] == ["protect-tree"]
    assert yard.job.existing[0].fate is Fate.PROTECTED


def test_recipe_the_owner_added_stays_when_the_fate_changes(yard: Yard) -> None:
    yard.post("site/existing/new", SLAB)
    thing = yard.job.existing[0]
    yard.post("site/work/new", {"place": "existing", "place_id": str(thing.id), "assembly": "protect-driveway"})
    yard.post(f"site/existing/{thing.id}", {"fate": "stays", "version": "1"})
    assert [w.assembly for w in yard.works] == ["protect-driveway"]


def test_measure_that_is_missing_is_said_and_not_priced_at_nothing(yard: Yard) -> None:
    answer = yard.post("site/existing/new", {k: v for k, v in SLAB.items() if k != "thickness"})
    words = text_of(answer.text)
    assert "To settle" in words
    assert "Type the thickness of Old patio." in words


@pytest.mark.parametrize(
    "fields", [{"kind": "rocket"}, {"fate": "explodes"}, {"title": ""}, {"area": "-4"}, {"count": "0"}]
)
def test_thing_that_cannot_be_is_refused_with_the_typed_text_kept(yard: Yard, fields: dict) -> None:
    answer = yard.post("site/existing/new", {**SLAB, **fields})
    assert answer.status_code == 422
    assert yard.job.existing == ()
    assert f'value="{fields.get("area", "180")}"' in answer.text


def test_thing_is_taken_off_the_list_with_its_works(yard: Yard) -> None:
    yard.post("site/existing/new", SLAB)
    yard.post(f"site/existing/{yard.job.existing[0].id}/remove", {"version": "1"})
    assert (yard.job.existing, yard.works) == ((), ())
    assert yard.post(f"site/existing/{uuid4()}", {"title": "x", "version": "1"}).status_code == 404


def test_door_is_added_and_taken_out(yard: Yard) -> None:
    answer = yard.post(
        "site/opening/new", {"title": "Kitchen door", "x": "12", "y": "0", "width": "32 in", "version": "1"}
    )
    assert answer.status_code == 200
    assert yard.job.site.openings[0].width == pytest.approx(32 / 12)
    assert yard.post("site/opening/7/remove", {"version": "2"}).status_code == 404
    yard.post("site/opening/0/remove", {"version": "2"})
    assert yard.job.site.openings == ()
    assert yard.post("site/opening/new", {"title": "", "x": "1"}).status_code == 422


def picture(kind: str = "JPEG") -> bytes:
    out = BytesIO()
    made = Image.new("RGB", (640, 480), "#406040")
    exif = made.getexif()
    exif[0x9286] = "27 Quarry Bend, secret place"
    made.save(out, kind, exif=exif)
    return out.getvalue()


def test_photo_is_kept_without_its_place_and_shown_to_its_own_job_only(yard: Yard) -> None:
    sent = {"file": ("yard.jpg", picture(), "image/jpeg")}
    answer = yard.post("site/photo/new", {"when": "before", "caption": "From the gate"}, files=sent)
    assert answer.status_code == 200
    photo = yard.job.photos[0]
    assert photo.caption == "From the gate"
    shown = yard.get(f"photos/{photo.id}")
    assert shown.status_code == 200
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert "private" in shown.headers["cache-control"]
    assert Image.open(BytesIO(shown.content)).size == (640, 480)
    assert b"secret place" not in shown.content
    other = begin_job(yard.office, NewJob(name="Teodor Asante"), order())
    assert yard.browser.get(f"/jobs/{other}/photos/{photo.id}").status_code == 404
    assert 'alt="From the gate"' in yard.get("site").text


def test_list_of_photos_is_served_small_ones_that_are_made_again_when_they_are_gone(yard: Yard) -> None:
    big = Image.effect_noise((2000, 1500), 60).convert("RGB")
    out = BytesIO()
    big.save(out, "JPEG")
    yard.post("site/photo/new", {"when": "before"}, files={"file": ("yard.jpg", out.getvalue(), "image/jpeg")})
    photo = yard.job.photos[0]
    assert f'src="/jobs/{yard.id}/photos/{photo.id}/small"' in yard.get("site").text
    whole, small = yard.get(f"photos/{photo.id}"), yard.get(f"photos/{photo.id}/small")
    assert Image.open(BytesIO(small.content)).size == (480, 360)
    assert len(small.content) * 5 < len(whole.content)
    assert small.headers["etag"] != whole.headers["etag"]
    assert "private" in small.headers["cache-control"]
    kept = yard.office.settings.small / photo.file
    kept.unlink()
    assert yard.get(f"photos/{photo.id}/small").content == small.content
    assert kept.exists()
    other = begin_job(yard.office, NewJob(name="Teodor Asante"), order())
    assert yard.browser.get(f"/jobs/{other}/photos/{photo.id}/small").status_code == 404


@pytest.mark.parametrize("content", [b"", b"<svg onload=alert(1)>", b"%PDF-1.7 no picture", b"\xff\xd8\xff\xe0 broken"])
def test_file_that_is_no_picture_is_refused_in_a_sentence(yard: Yard, content: bytes) -> None:
    answer = yard.post("site/photo/new", {"when": "before"}, files={"file": ("x.jpg", content, "image/jpeg")})
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.text
    assert yard.job.photos == ()


def test_photo_form_without_a_file_is_refused(yard: Yard) -> None:
    assert yard.post("site/photo/new", {"when": "before", "file": "not a file"}).status_code == 422


def test_caption_is_changed_and_photo_taken_out(yard: Yard) -> None:
    yard.post("site/photo/new", {"when": "before"}, files={"file": ("x.png", picture("PNG"), "image/png")})
    photo = yard.job.photos[0]
    yard.post(f"site/photo/{photo.id}", {"caption": "Back fence", "version": "1"})
    assert yard.job.photos[0].caption == "Back fence"
    yard.post(f"site/photo/{photo.id}/remove", {"version": "2"})
    assert yard.job.photos == ()


def test_fence_tree_and_buried_line_are_typed_where_they_lie_and_typed_again_unchanged(yard: Yard) -> None:
    fence = {"title": "Back fence", "kind": "fence", "fate": "goes", "points": "0,0 / 30,0 / arc 40,10 right 2"}
    assert yard.post("site/existing/new", {**fence, "count": "1"}).status_code == 200
    tree = {"title": "Oak", "kind": "tree", "fate": "protected", "x": "12", "y": "-3", "spread": "24", "count": "1"}
    assert yard.post("site/existing/new", tree).status_code == 200
    gas = {"title": "Gas to the house", "kind": "other", "fate": "stays", "points": "0,5 / 40,5", "utility": "gas"}
    assert yard.post("site/existing/new", {**gas, "depth": "18 in", "count": "1"}).status_code == 200
    one, two, three = yard.job.existing
    assert (one.points, one.rises) == (((0, 0), (30, 0), (40, 10)), (0, 2))
    assert (two.x, two.y, two.spread) == (12, -3, 24)
    assert (three.utility, three.depth) == ("gas", 1.5)
    page = yard.get("site").text
    assert "arc 40&#39;-0&#34;, 10&#39;-0&#34; right 2&#39;-0&#34;" in page
    before = yard.job
    again = {"points": "0,0 / 30,0 / arc 40,10 right 2", "version": str(yard.version("existing", one.id))}
    yard.post(f"site/existing/{one.id}", again)
    assert yard.job == before
    assert f"plan?focus=existing:{one.id}" in page
    assert yard.get(f"plan?focus=existing:{one.id}").status_code == 200


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"points": "0,0 / 0,0"}, "twice in a row"),
        ({"points": "5"}, "2 to 200 points"),
        ({"utility": "steam"}, "choose one of the list"),
        ({"spread": "-3"}, "is negative"),
        ({"x": "east"}, "is not understood as a length"),
    ],
)
def test_place_that_cannot_be_is_said_beside_its_field(yard: Yard, fields: dict, said: str) -> None:
    answer = yard.post("site/existing/new", {"title": "F", "kind": "fence", "fate": "stays", "count": "1", **fields})
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert yard.job.existing == ()


def test_length_of_a_fence_that_goes_is_as_its_line_lies(yard: Yard) -> None:
    fence = {
        "title": "Old wall",
        "kind": "wall",
        "fate": "goes",
        "points": "0,0 / 30,0",
        "height": "2",
        "thickness": "1",
    }
    yard.post("site/existing/new", {**fence, "count": "1"})
    priced = sheet(yard.office, yard.id)
    missing = [one.what for one in priced.findings if "length" in one.what.lower() and "Old wall" in one.what]
    assert missing == []


def test_dimension_and_note_are_typed_listed_changed_and_taken_out(yard: Yard) -> None:
    yard.zone()
    assert "A new dimension" in yard.get("plan?focus=dimension:new").text
    assert (
        yard.post("plan/dimension/new", {"start": "0,0", "end": "20,0", "offset": "-3", "words": "clear"}).status_code
        == 200
    )
    assert yard.post("plan/note/new", {"words": "Keep the steps", "x": "5", "y": "-4", "to": "8, 2"}).status_code == 200
    dimension, note = yard.job.dimensions[0], yard.job.notes[0]
    assert (dimension.start, dimension.end, dimension.offset) == ((0, 0), (20, 0), -3)
    assert (note.x, note.y, note.to) == (5, -4, (8, 2))
    words = text_of(yard.get("plan").text)
    assert "clear 20'-0\"" in words
    assert "Keep the steps" in words
    page = yard.get(f"plan?focus=dimension:{dimension.id}")
    assert 'name="end"' in page.text
    yard.post(f"plan/dimension/{dimension.id}", {"end": "24,0", "version": "1"})
    assert yard.job.dimensions[0].end == (24, 0)
    yard.post(f"plan/note/{note.id}/remove", {"version": "1"})
    assert yard.job.notes == ()


@pytest.mark.parametrize(
    ("kind", "fields", "said"),
    [
        ("dimension", {"start": "", "end": "2,2"}, "empty"),
        ("dimension", {"start": "0,0", "end": "x"}, "is not a point"),
        ("note", {"words": "", "x": "1", "y": "1"}, "empty"),
        ("note", {"words": "Hi", "x": "1", "y": "1", "to": "5"}, "is not a point"),
    ],
)
def test_dimension_or_note_that_cannot_be_is_refused(yard: Yard, kind: str, fields: dict, said: str) -> None:
    yard.zone()
    answer = yard.post(f"plan/{kind}/new", fields)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    assert (yard.job.dimensions, yard.job.notes) == ((), ())


def test_door_is_changed_and_its_threshold_typed_or_read_by_the_rod(yard):
    yard.post("site/opening/new", {"title": "Kitchen door", "x": "12", "y": "0", "version": "1"})
    at = {"title": "Kitchen door", "x": "12", "y": "0", "width": "3"}
    assert yard.post("site/opening/0", {**at, "level": "1'-2\"", "version": "2"}).status_code == 200
    assert yard.job.site.openings[0].level == pytest.approx(14 / 12)
    assert "threshold at 1'-2\"" in text_of(yard.get("site").text)
    yard.post("tape/mark/new", {"title": "Sill", "x": "12", "y": "0", "level": "9 in"})
    (mark,) = yard.job.marks
    fields = {**at, "level": "", "mark_id": str(mark.id), "version": str(yard.version("site", yard.job.site.id))}
    assert yard.post("site/opening/0", fields).status_code == 200
    assert (yard.job.site.openings[0].level, yard.job.site.openings[0].mark_id) == (None, mark.id)
    assert 'threshold at 9" by the rod' in text_of(yard.get("site").text)


def test_threshold_of_a_mark_that_is_gone_and_of_a_door_that_is_gone_are_refused(yard):
    yard.post("site/opening/new", {"title": "Kitchen door", "x": "12", "y": "0", "version": "1"})
    gone = {"title": "Kitchen door", "mark_id": "00000000-0000-0000-0000-000000000009", "version": "2"}
    answer = yard.post("site/opening/0", gone)
    assert answer.status_code == 422
    assert "That mark is not there" in answer.text
    assert yard.post("site/opening/4", {"title": "Door", "version": "2"}).status_code == 404
    assert yard.job.site.openings[0].mark_id is None


def test_factor_is_set_by_hand_with_its_reason_and_opens(yard: Yard) -> None:
    save_site(yard, soil="clay", access_width="4'", drive_minutes="18")
    page = yard.get("site").text
    assert "4 ft at the narrowest: by barrow" in text_of(page)
    assert "from 3 ft, by barrow: × 1.2" in text_of(page)
    answer = save_site(yard, **{"slowing.soil.factor": "1.05", "slowing.soil.reason": "Dry and loose"})
    assert answer.status_code in (200, 303)
    own = yard.job.site.slowing["soil"]
    assert (own.factor, own.reason, yard.job.site.drive_minutes) == (1.05, "Dry and loose", 18)
    assert "worked out it would be × 1.2" in text_of(yard.get("site").text)
    assert "set by hand: Dry and loose" in text_of(yard.get("why/factor:soil").text)
    save_site(yard, **{"slowing.soil.factor": "", "slowing.soil.reason": ""})
    assert yard.job.site.slowing == {}


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"slowing.haul.factor": "1.3"}, "Say why"),
        ({"slowing.haul.factor": "9", "slowing.haul.reason": "far"}, "between 0.5 and 4"),
        ({"slowing.haul.factor": "lots", "slowing.haul.reason": "far"}, "lots"),
        ({"drive_minutes": "900"}, "between 0 and 300"),
        ({"drive_minutes": "far"}, "far"),
    ],
)
def test_factor_without_a_reason_or_beyond_reason_is_refused(yard: Yard, fields: dict[str, str], said: str) -> None:
    before = yard.job.site
    answer = save_site(yard, **{**fields, "focus": f"site:{before.id}"})
    assert answer.status_code == 422
    assert said in answer.text
    assert yard.job.site == before


def test_setbacks_and_easements_are_typed_measured_and_drawn(yard: Yard) -> None:
    lot = {"lot.shape": "rectangle", "lot.width": "60", "lot.depth": "80", "house.shape": "none"}
    save_site(yard, **lot)
    named = {
        "lot_lines.0": "front",
        "lot_lines.0.at": "30.0, 0.0",
        "lot_lines.2": "rear",
        "lot_lines.2.at": "30.0, 80.0",
    }
    save_site(yard, **named, **{"lot_lines.1": "", "lot_lines.1.at": "60.0, 40.0"})
    assert [(one.y, one.side) for one in yard.job.site.lot_lines] == [(0.0, "front"), (80.0, "rear")]
    yard.post("site/setback/new", {"side": "rear", "distance": "10 ft", "source": "Zoning 4.2"})
    strip = {"title": "Drain easement", "at": "30, 80", "width": "6 ft", "allows.sent": "1", "allows": "fence"}
    answer = yard.post("site/easement/new", strip)
    (row,), (easement,) = yard.job.setbacks, yard.job.easements
    assert (row.side, row.kind, row.distance, row.source) == ("rear", "", 10.0, "Zoning 4.2")
    assert (easement.at, easement.width, easement.allows) == ((30.0, 80.0), 6.0, ("fence",))
    words = text_of(answer.text)
    assert "All that is built, rear" in words
    assert "360 sq ft" in words, "6 ft of a line of 60 ft"
    assert "setback 10" in words
    moved = {"version": "1", "distance": "12 ft"}
    assert yard.post(f"site/setback/{row.id}", moved).status_code == 200
    yard.post(f"site/easement/{easement.id}/remove", {"version": "1"})
    assert (yard.job.setbacks[0].distance, yard.job.easements) == (12.0, ())


def test_setback_or_easement_that_is_not_understood_keeps_what_was_typed(yard: Yard) -> None:
    good = {"title": "Drain easement", "distance": "5 ft", "source": "The plat"}
    bad = [("setback", "distance", "far"), ("setback", "distance", ""), ("setback", "kind", "castle")]
    bad += [("easement", "at", "by the oak"), ("easement", "allows", "castle"), ("easement", "width", "wide")]
    for kind, field, typed in bad:
        answer = yard.post(f"site/{kind}/new", {**good, field: typed})
        assert answer.status_code == 422, (kind, field)
        assert 'value="The plat"' in answer.text, (kind, field)
    assert (yard.job.setbacks, yard.job.easements) == ((), ())


def test_side_of_a_lot_line_that_is_none_changes_nothing(yard: Yard) -> None:
    save_site(yard, **{"lot.shape": "rectangle", "lot.width": "60", "lot.depth": "80"})
    for wrong in (
        {"lot_lines.0": "north", "lot_lines.0.at": "30, 0"},
        {"lot_lines.0": "rear", "lot_lines.0.at": "here"},
    ):
        assert save_site(yard, **wrong).status_code == 422
    assert yard.job.site.lot_lines == ()


def test_setbacks_of_the_town_are_taken_along_from_another_yard_of_it(yard: Yard) -> None:
    other, elsewhere = (
        begin_job(yard.office, NewJob(name=name, town="Alder Ferry"), order())
        for name in ("Teodor Asante", "Luz Arriaga")
    )
    for job, state, distance in ((other, "PA", 10.0), (elsewhere, "NJ", 99.0)):
        row = Setback(id=uuid4(), side="rear", distance=distance, source="Zoning 4.2")
        save(yard.office, job, (made("setback", row), changed("job", job, 1, {"state": state})), order())
    assert "Take them along" not in yard.get("site").text, "nobody said in which town this yard lies"
    head = yard.job.head
    yard.post(
        f"client/job/{head.id}", {"town": "alder ferry", "state": "PA", "version": str(yard.version("job", head.id))}
    )
    words = text_of(yard.get("site").text)
    assert "One setback was typed for" in words
    assert yard.post(f"site/setbacks-of/{other}").status_code == 200
    (row,) = yard.job.setbacks
    assert (row.side, row.distance, row.source) == ("rear", 10.0, "Zoning 4.2")
    assert "Take them along" not in yard.get("site").text
    assert yard.post(f"site/setbacks-of/{yard.id}").status_code == 200
    assert yard.post(f"site/setbacks-of/{uuid4()}").status_code == 404


def test_house_outside_of_the_lot_is_said_where_it_is_typed_until_it_lies_on_it(yard: Yard) -> None:
    typed = {"house.shape": "rectangle", "house.width": "40", "house.depth": "20"}
    lot = {"lot.shape": "rectangle", "lot.width": "20", "lot.depth": "90"}
    words = text_of(save_site(yard, **typed, **lot).text)
    assert "The house lies partly outside of the lot" in words
    assert "400 sq ft of it outside" in words
    words = text_of(save_site(yard, **typed, **(lot | {"lot.width": "60"})).text)
    assert "outside of the lot" not in words
