"""The crew's phone: every page and paper it can open, walked by its links, and no money in any of them."""

import re
from datetime import timedelta
from io import BytesIO
from uuid import UUID, uuid4

import pypdf
import pytest
from starlette.testclient import TestClient

from app.documents.pdf import pdf_available
from app.domain.devices import Face
from app.domain.job import Phase
from app.domain.people import CrewMember
from app.domain.sharing import Over, Plain
from app.services import book, devices, field
from app.services.jobs import NewJob, Order, begin_job, changed, made, open_job, save
from app.services.office import Office
from app.services.revisions import today_at
from app.web import faces
from tests.offering import offer, sign
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent
from tests.web.test_access import routes
from tests.web.test_every_page import links, nothing_inline

PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c4944415408d763f8cfc0000003010100c9fe92ef"
    "0000000049454e44ae426082"
)
pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
MONEY = re.compile(r"[$¢€]|\bUSD\b|\bcents?\b|\bmargin\b|\bprofit\b|\boverhead\b|\bwages?\b", re.IGNORECASE)


@pytest.fixture
def phone(stocked: Office, ready: UUID) -> TestClient:
    """A field device, and a job that both have signed."""
    one = offer(stocked, ready)
    for signer in one.signers:
        sign(stocked, ready, one.id, signer.name)
    version = book.own(stocked, "firm").version("firm", stocked.firm_id)
    crew = (CrewMember(key="luz", name="Luz Arriaga", language="es"),)
    book.set_fields(stocked, "firm", stocked.firm_id, version, {"crew": crew}, Order(change_id=uuid4()))
    return paired(stocked, Over.SECURE, face=Face.FIELD)


def read(answer) -> str:
    if answer.headers["content-type"] != "application/pdf":
        return answer.text
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(answer.content)).pages)


def shown(page: str) -> str:
    """A page without what its script may yet put there."""
    return re.sub(r"(?s)<template.*?</template>", "", page)


def walk(phone: TestClient) -> dict[str, str]:
    """Every page and paper by its links; of the days, which are alike, the first one."""
    waiting, seen, day = ["/field"], {}, ""
    while waiting:
        path = waiting.pop()
        found = re.search(r"/days/(\d{4}-\d\d-\d\d)", path)
        day = day or (found[1] if found else "")
        if path in seen or (found and found[1] != day):
            continue
        answer = phone.get(path)
        assert answer.status_code == 200, path
        seen[path] = read(answer)
        if answer.headers["content-type"].startswith("text/html"):
            nothing_inline(path, answer.text)
            again = {one for one in links(shown(answer.text)) if one.startswith("/quick-math/") and "?job=" in one}
            waiting += sorted(links(shown(answer.text)) - again - seen.keys())  # with a job chosen they are the same
    return seen


def test_every_page_the_crew_can_open_is_free_of_money(stocked: Office, phone: TestClient, ready: UUID) -> None:
    seen = walk(phone)
    said = {path: MONEY.findall(text) for path, text in seen.items() if MONEY.search(text)}
    assert said == {}
    declared = {one.path for one in routes(stocked) if one.path.startswith("/field") and "GET" in one.methods}
    met = {one for one in declared for path in seen if re.fullmatch(re.sub(r"\{[^}]*\}", "[^/]+", one), path)}
    assert declared - met == {one for one in declared if "/photos/" in one}
    assert all(path.startswith(("/field", "/quick-math", "/unsent", "/face/ours", "/face/leave")) for path in seen), (
        "its links lead nowhere else"
    )
    assert f"/field/{ready}/orders" in seen


def test_money_would_be_found(stocked: Office, phone: TestClient, ready: UUID) -> None:
    """The same search on our own page of the job."""
    assert MONEY.search(Browser(stocked).get(f"/jobs/{ready}/estimate").text)


def test_only_jobs_that_are_built_stand_there(stocked: Office, phone: TestClient, ready: UUID) -> None:
    lead = begin_job(stocked, NewJob(name="Teodor Asante", street="5 Mill Race"), Order(change_id=uuid4()))
    home = phone.get("/field").text
    assert f"/field/{ready}" in home
    assert str(lead) not in home
    for path in (f"/field/{lead}", f"/field/{lead}/orders", f"/field/{lead}/plan", f"/field/{lead}/crew/all"):
        answer = phone.get(path)
        assert answer.status_code == 404
        assert "Asante" not in answer.text
        assert "/prices" not in answer.text, "no way to our pages stands on it"


def test_picture_of_the_work_goes_in_with_its_note_under_the_phone_s_name(
    stocked: Office, phone: TestClient, ready: UUID
) -> None:
    devices.rename(stocked, devices.every_device(stocked)[0].id, "Ada's phone", Order(change_id=uuid4()))
    answer = sent(phone, stocked, f"/field/{ready}/photo", {"caption": "Base is in"}, files={"file": ("a.png", PNG)})
    assert answer.status_code == 303, answer.text
    photo = open_job(stocked, ready).job.photos[-1]
    assert (photo.caption, photo.when) == ("Base is in", "during")
    assert "Base is in" in phone.get(f"/field/{ready}").text
    for path in (f"/field/{ready}/photos/{photo.id}", f"/field/{ready}/photos/{photo.id}/small"):
        assert phone.get(path).headers["content-type"].startswith("image/")
    assert "Ada&#39;s phone" in Browser(stocked).get(f"/jobs/{ready}/history").text


def test_calling_first_and_what_is_refused_are_said_in_the_crews_language(
    stocked: Office, phone: TestClient, ready: UUID
) -> None:
    assert "Call 811 before any digging" in phone.get(f"/field/{ready}").text
    sent(phone, stocked, "/field/language", {"language": "es", "back": f"/field/{ready}"})
    page = phone.get(f"/field/{ready}").text
    assert "Llame al 811 antes de excavar" in page
    assert "Call 811" not in page
    refused = sent(
        phone, stocked, f"/field/{ready}/day/weather", {"day": today_at(stocked, "America/New_York").isoformat()}
    )
    assert refused.status_code == 422
    assert "Toque el clima" in refused.text


def test_no_picture_is_said_beside_its_field(stocked: Office, phone: TestClient, ready: UUID) -> None:
    answer = sent(phone, stocked, f"/field/{ready}/photo", {"caption": "Base is in"})
    assert answer.status_code == 422
    assert "Choose a picture first." in answer.text
    assert "Base is in" in answer.text


def test_over_plain_http_the_crew_reads_and_sends_pictures(stocked: Office, phone: TestClient, ready: UUID) -> None:
    plain = paired(stocked, Over.PLAIN, Plain.READING, Face.FIELD)
    assert plain.get(f"/field/{ready}").status_code == 200
    assert sent(plain, stocked, f"/field/{ready}/photo", files={"file": ("a.png", PNG)}).status_code == 303


def test_changes_are_few_and_named(stocked: Office) -> None:
    changing = {one.path for one in routes(stocked) if "POST" in one.methods and faces.may_reach(one.path, Face.FIELD)}
    log = {f"/field/{{job_id}}/log/{one}" for one in ("hours", "done", "hours/{entry_id}/remove")}
    log |= {f"/field/{{job_id}}/day/{one}" for one in ("{what}", "receipt", "{kind}/{thing_id}/remove")}
    log |= {f"/field/{{job_id}}/after/{one}" for one in ("result", "punch", "punch/{item_id}", "note")}
    assert changing - log == {
        "/field/language",
        "/field/{job_id}/days/{day}/check",
        "/field/{job_id}/days/{day}/check/{check_id}/remove",
        "/field/{job_id}/note",
        "/field/{job_id}/photo",
        "/field/{job_id}/orders/{order_id}/delivery",
        "/field/{job_id}/left/counted",
        "/pieces/{name}",
        "/quick-math/{key}/job/{job_id}",  # a note in the job: the test of the sheet holds it to that
        "/face/ours",
        "/face/own",
        "/face/leave",
        "/pair",
    }
    assert log <= changing


def begins_in(office: Office, job_id: UUID, days: int) -> Phase:
    today = today_at(office, open_job(office, job_id).job.head.time_zone)
    phase = Phase(id=uuid4(), number=7, title="Terrace", start=today + timedelta(days=days))
    save(office, job_id, (made("phase", phase),), Order(change_id=uuid4()))
    return phase


def test_the_week_names_what_begins_within_seven_days_and_the_pages_of_it(
    stocked: Office, phone: TestClient, ready: UUID
) -> None:
    phase = begins_in(stocked, ready, 8)
    assert field.week(stocked) == ()
    sooner = changed("phase", phase.id, 1, {"start": phase.start - timedelta(days=1)})
    save(stocked, ready, (sooner,), Order(change_id=uuid4()))
    [one] = field.week(stocked)
    assert [found.title for found in one.phases] == ["Terrace"]
    text = phone.get("/field").text
    for path in one.pages:
        assert path in text
        assert phone.get(path).status_code == 200, path
    assert {path.rsplit("/", 1)[-1] for path in one.pages} > {"plan", "layout", "orders", "general"}
    save(stocked, ready, (changed("phase", phase.id, 2, {"done": phase.start}),), Order(change_id=uuid4()))
    assert field.week(stocked) == ()


def test_note_from_the_yard_goes_in_once_and_is_read_at_the_office(
    stocked: Office, phone: TestClient, ready: UUID
) -> None:
    note = {"words": "Irrigation line by the oak, 8 in deep", "change_id": str(uuid4())}
    for _ in range(2):
        assert sent(phone, stocked, f"/field/{ready}/note", note).status_code == 303
    sent(phone, stocked, f"/field/{ready}/note", {"words": "Gate is 38 in"})
    lines = open_job(stocked, ready).job.head.private_note.splitlines()
    assert [line.partition(": ")[2] for line in lines] == ["Irrigation line by the oak, 8 in deep", "Gate is 38 in"]
    assert "Irrigation line by the oak" in Browser(stocked).get(f"/jobs/{ready}/build").text
    assert "Irrigation line by the oak" not in phone.get(f"/field/{ready}").text


def test_empty_note_comes_back_with_its_sentence(stocked: Office, phone: TestClient, ready: UUID) -> None:
    answer = sent(phone, stocked, f"/field/{ready}/note", {"words": " "})
    assert answer.status_code == 422
    assert "Note is empty" in answer.text
