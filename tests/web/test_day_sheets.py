"""The sheet of a day: what belongs to it, in the language of whose it is; checks signed for by name; who is on it."""

import re
from datetime import date, timedelta
from html import unescape
from uuid import UUID, uuid4

import pytest
from starlette.testclient import TestClient

from app.domain.devices import Face
from app.domain.job import Approval, Phase
from app.domain.people import CrewMember
from app.domain.schedule.inspections import Standing
from app.domain.sharing import Over
from app.services import book
from app.services.day_sheets import crew_days, day_sheet
from app.services.field import week
from app.services.jobs import Order, changed, made, open_job, save
from app.services.office import Office
from app.services.scheduling import inspections_of, schedule_of
from app.services.sheets import sheet
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent

CREW = (CrewMember(key="ada", name="Ada Brandt"), CrewMember(key="luz", name="Luz Arriaga", language="es"))


@pytest.fixture
def phone(stocked: Office, ready: UUID) -> TestClient:
    """A field device, a job that is being built, and two of the crew, one of whom reads Spanish."""
    view = sheet(stocked, ready)
    phase = Phase(id=uuid4(), number=1, title="Terrace", start=view.today)
    edits = (
        changed("job", ready, view.version("job", ready), {"stage": "building"}),
        made("phase", phase),
    )
    save(stocked, ready, edits, Order(change_id=uuid4()))
    version = book.own(stocked, "firm").version("firm", stocked.firm_id)
    book.set_fields(stocked, "firm", stocked.firm_id, version, {"crew": CREW}, Order(change_id=uuid4()))
    return paired(stocked, Over.SECURE, face=Face.FIELD)


def day_of(office: Office, job_id: UUID, stage: str) -> date:
    """The first day of a stage of the terrace."""
    view = sheet(office, job_id)
    rows = (one for one in crew_days(office, view).rows if one.planned.stage == stage and one.planned.place != "job")
    return next(rows).start


def part_of(office: Office, job_id: UUID, day: date, stage: str):
    parts = day_sheet(office, sheet(office, job_id), day).parts
    return next(one for one in parts if one.row.planned.stage == stage and one.row.planned.place != "job")


def words(answer) -> str:
    assert answer.status_code == 200, answer.text
    return " ".join(unescape(re.sub(r"<template.*?</template>|<[^>]+>", " ", answer.text, flags=re.DOTALL)).split())


def test_day_holds_depths_amounts_tools_cautions_and_who_is_on_it(stocked: Office, phone: TestClient, ready: UUID):
    day = day_of(stocked, ready, "base")
    said = words(phone.get(f"/field/{ready}/days/{day}"))
    for wanted in (
        '6" Crushed stone, 3/4 in minus, in 2 lifts of 3", each compacted now',
        "Ada Brandt, Luz Arriaga",
        "Laser or 4 ft level",
        "NO locate ticket",
        "Pictures before it is covered",
        "Compacted base with the straightedge on it",
        "Roller or plate went over every lift until it no longer sinks",
    ):
        assert wanted in said
    assert "Rubber mallet" not in said, "tools of another day"


def test_start_line_stands_on_the_day_units_are_laid_and_weights_with_who_lifts(
    stocked: Office, phone: TestClient, ready: UUID
):
    said = words(phone.get(f"/field/{ready}/days/{day_of(stocked, ready, 'surface')}"))
    assert "50 lb Joint sand with binder, 50 lb: one person" in said  # NIOSH: 51 lb under ideal conditions
    assert "Hose and water at the saw" in said


def test_sheet_of_one_is_in_their_language_with_the_same_numbers(stocked: Office, phone: TestClient, ready: UUID):
    day = day_of(stocked, ready, "base")
    english, spanish = (phone.get(f"/field/{ready}/days/{day}/{who}") for who in ("ada", "luz"))
    assert '<html lang="en"' in english.text
    assert '<html lang="es"' in spanish.text
    for figure in ('6"', "10.8"):
        assert (figure in words(english)) == (figure in words(spanish))
    said = words(spanish)
    assert "Capas, de abajo hacia arriba" in said
    assert "NO hay boleto de localización" in said
    for left in ("Layers, from", "Cautions in", "locate ticket", "Tools at hand", "day of this step"):
        assert left not in said


def test_language_of_a_phone_is_chosen_once_and_kept(stocked: Office, phone: TestClient, ready: UUID):
    answer = sent(phone, stocked, "/field/language", {"language": "es", "back": f"/field/{ready}"})
    assert answer.status_code == 303
    assert "Anotar horas" in words(phone.get(f"/field/{ready}"))
    assert sent(phone, stocked, "/field/language", {"language": "fr", "back": "/field"}).status_code == 404
    assert sent(phone, stocked, "/field/language", {"language": "es", "back": "//elsewhere"}).headers["location"] == (
        "/field"
    )


def test_ticket_is_told_with_its_last_day_and_stops_digging_after_it(stocked: Office, phone: TestClient, ready: UUID):
    day = day_of(stocked, ready, "dig")
    for until, told in ((day, "locate ticket, good until"), (date(2027, 1, 4), "RAN OUT on")):
        site = sheet(stocked, ready).job.site
        fields = {"ticket": "20270610042", "ticket_until": until}
        version = sheet(stocked, ready).version("site", site.id)
        save(stocked, ready, (changed("site", site.id, version, fields),), Order(change_id=uuid4()))
        said = words(phone.get(f"/field/{ready}/days/{day}"))
        assert "20270610042" in said
        assert told in said
    assert "Dig nothing until it is renewed." in said


def test_check_is_signed_by_name_and_time_once_and_taken_back(stocked: Office, phone: TestClient, ready: UUID):
    day = day_of(stocked, ready, "base")
    part = part_of(stocked, ready, day, "base")
    check = "Roller or plate went over every lift until it no longer sinks"
    form = {"part": part.key, "words": check, "name": "Luz Arriaga", "person": "luz", "change_id": str(uuid4())}
    where = f"/field/{ready}/days/{day}/check"
    assert [sent(phone, stocked, where, form).status_code for _ in range(2)] == [303, 303]
    (held,) = open_job(stocked, ready).job.signed_checks
    assert (held.name, held.words, held.stage) == ("Luz Arriaga", check, "base")
    assert held.said_at is not None
    assert held.day <= sheet(stocked, ready).today
    page = phone.get(f"/field/{ready}/days/{day}").text
    assert f"/check/{held.id}/remove" in page
    assert "Luz Arriaga" in words(Browser(stocked).get(f"/jobs/{ready}/days?focus={day}"))
    assert sent(phone, stocked, f"{where}/{held.id}/remove", {"person": ""}).status_code == 303
    assert open_job(stocked, ready).job.signed_checks == ()


def test_nobody_and_no_check_are_refused_with_a_sentence(stocked: Office, phone: TestClient, ready: UUID):
    day = day_of(stocked, ready, "base")
    part = part_of(stocked, ready, day, "base")
    where = f"/field/{ready}/days/{day}/check"
    check = "Roller or plate went over every lift until it no longer sinks"
    refused = sent(phone, stocked, where, {"part": part.key, "words": check, "name": "", "person": "luz"})
    assert refused.status_code == 422
    assert "No se tocó ningún nombre." in refused.text
    assert sent(phone, stocked, where, {"part": part.key, "words": "Ate lunch", "name": "Luz"}).status_code == 404
    assert open_job(stocked, ready).job.signed_checks == ()


def test_owner_says_who_is_on_it_and_their_sheets_follow(stocked: Office, phone: TestClient, ready: UUID):
    day = day_of(stocked, ready, "base")
    part = part_of(stocked, ready, day, "base")
    here = Browser(stocked)
    answer = here.post(f"/jobs/{ready}/days/{day}/on", {"part": part.key, "people": ["ada"]})
    assert answer.status_code in (200, 303), answer.text
    assert part_of(stocked, ready, day, "base").people == CREW[:1]
    own = f"/field/{ready}/days/{day}"
    assert f'value="{part.key}"' in phone.get(f"{own}/ada").text
    assert f'value="{part.key}"' not in phone.get(f"{own}/luz").text
    hours = phone.get(f"/field/{ready}/log").text
    assert all(one.name in hours for one in CREW), "the crew is there to be tapped"


def test_phone_takes_the_day_sheets_of_the_week_along(stocked: Office, phone: TestClient, ready: UUID):
    (one,) = week(stocked)
    days = [
        day for day in crew_days(stocked, sheet(stocked, ready)).days if (day - sheet(stocked, ready).today).days <= 7
    ]
    assert days
    wanted = {f"/field/{ready}/days/{day}{who}" for day in days for who in ("", "/ada", "/luz")}
    assert wanted <= set(one.pages)
    for path in one.pages:
        assert phone.get(path).status_code == 200, path


def test_day_without_work_and_a_word_for_a_day_are_not_found(phone: TestClient, ready: UUID):
    for day in ("2019-01-01", "tomorrow", "2027-99-99"):
        assert phone.get(f"/field/{ready}/days/{day}").status_code == 404


def test_inspection_waits_on_the_day_sheet_in_both_languages_and_a_failed_one_stops_what_covers_it(
    stocked: Office, phone: TestClient, ready: UUID
):
    view = sheet(stocked, ready)
    asked = Approval(id=uuid4(), title="Permit for the terrace", inspected=("base",))
    save(stocked, ready, (made("approval", asked),), Order(change_id=uuid4()))
    view = sheet(stocked, ready)
    row = next(one for one in inspections_of(schedule_of(stocked, view)) if "Permit for the terrace" in one.title)
    said = words(phone.get(f"/field/{ready}/days/{row.row.start}/luz"))
    assert "Inspección" in said
    assert "nada lo cubre antes de que esté aprobado" in said
    surface = day_of(stocked, ready, "surface")
    assert "Wait for the inspection Permit for the terrace." in words(phone.get(f"/field/{ready}/days/{surface}"))
    office, now = Browser(stocked), stocked.clock()
    stocked.clock.now = now + timedelta(days=(row.day - view.today).days + 1)  # type: ignore[attr-defined]
    late = office.get(f"/jobs/{ready}/schedule").text
    door = unescape(re.search(rf'href="(/field/{ready}/day\?inspects=[^"]+)"', late)[1])  # type: ignore[index]
    assert "nobody wrote down what came of it" in words(office.get(f"/jobs/{ready}/schedule"))
    assert door in unescape(office.get(f"/jobs/{ready}/build").text), "it stands among what stops the crew"
    assert f'<option value="{row.inspected.key}" selected>' in office.get(door).text
    stocked.clock.now = now  # type: ignore[attr-defined]
    address = f"/field/{ready}/day/visit"
    told = {"day": str(view.today), "who": "Inspector", "inspects": row.inspected.key, "result": "not passed"}
    assert row.inspected.key in phone.get(f"/field/{ready}/day").text
    wrong = sent(phone, stocked, address, {**told, "inspects": "job/nowhere"})
    assert wrong.status_code == 422
    assert "This inspection is not planned" in wrong.text
    assert sent(phone, stocked, address, told).status_code == 303
    assert "Inspection not passed" in words(phone.get(f"/field/{ready}"))
    again = next(one for one in inspections_of(schedule_of(stocked, sheet(stocked, ready))) if one.title == row.title)
    assert again.inspected.standing is Standing.NOT_PASSED
    assert again.row.start > view.today
    assert "Inspection not passed" in words(Browser(stocked).get(f"/jobs/{ready}/schedule"))
    assert sent(phone, stocked, address, {**told, "result": "passed"}).status_code == 303
    surface = day_of(stocked, ready, "surface")
    assert "Wait for the inspection" not in words(phone.get(f"/field/{ready}/days/{surface}"))
