"""Take a job along, open it elsewhere: it keeps its prices until the owner takes the firm's own."""

from dataclasses import replace
from decimal import Decimal
from uuid import uuid4

import pytest

from app.db.files import FileStore
from app.domain.basis import Price
from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.costing.estimate import estimate
from app.domain.errors import BadValue
from app.domain.job import Photo, Stage
from app.interchange.job_bundle import read_job_bundle
from app.interchange.job_file import write_job_file
from app.services import job_files, jobs
from app.services.jobs import changed, made, save
from tests.services.yard_of_ours import head_of, priced, told, with_library, yard

STONE = "base-stone-34"


@pytest.fixture
def job_here(office):
    priced(with_library(office), STONE)
    return yard(office)


def reprice(office, cents: str) -> None:
    with office.database.read() as connection:
        from app.db.repositories import things

        row = things.read_thing(connection, office.firm_id, "price", STONE)
    edit = Edit(kind="price", thing_id=STONE, version=row.version, before={}, after={"unit_price": cents})
    save(office, None, (edit,), told())


def cost_of(office, job_id) -> int:
    opened = jobs.open_job(office, job_id)
    return estimate(opened.job, opened.basis).cost_cents


def test_same_job_gives_the_same_bytes(office, job_here):
    assert job_files.export_job(office, job_here) == job_files.export_job(office, job_here)


def test_job_comes_back_as_a_new_one_with_the_same_cost(office, job_here):
    brought = job_files.bring_in(office, job_files.export_job(office, job_here), told())
    assert brought.job_id != job_here
    assert head_of(office, brought.job_id).number == head_of(office, job_here).number + 1
    assert cost_of(office, brought.job_id) == cost_of(office, job_here)


def test_prices_stay_the_jobs_own_until_the_owner_takes_the_firms(office, job_here):
    content = job_files.export_job(office, job_here)
    brought = job_files.bring_in(office, content, told()).job_id
    before = cost_of(office, job_here)
    reprice(office, "9999")
    assert cost_of(office, job_here) > before
    assert cost_of(office, brought) == before
    job_files.use_my_prices(office, brought, told())
    assert cost_of(office, brought) == cost_of(office, job_here)
    jobs.undo(office, brought, uuid4())
    assert cost_of(office, brought) == before


def test_price_the_file_lacked_is_not_filled_in_from_the_book(office, job_here):
    content = job_files.export_job(office, job_here)
    brought = job_files.bring_in(office, content, told()).job_id
    own = Price(material="bedding-sand", unit_price=Decimal(40))
    after = {name: value for name, value in to_plain(own).items() if name != "material"}
    save(office, None, (Edit(kind="price", thing_id="bedding-sand", version=0, before=None, after=after),), told())
    assert "bedding-sand" in jobs.open_job(office, job_here).basis.prices
    assert "bedding-sand" not in jobs.open_job(office, brought).basis.prices


def test_recipe_the_file_lacks_comes_from_the_library(office, job_here):
    brought = job_files.bring_in(office, job_files.export_job(office, job_here), told()).job_id
    assert "dry-well" in jobs.open_job(office, brought).basis.assemblies


def test_one_press_makes_one_job(office, job_here):
    content, order = job_files.export_job(office, job_here), told()
    assert job_files.bring_in(office, content, order) == job_files.bring_in(office, content, order)


def test_photo_travels_in_the_file_and_a_missing_one_is_counted(office, job_here):
    store = FileStore(office.settings.files)
    here, gone = store.keep(b"a picture"), "f" * 64
    photos = [Photo(id=uuid4(), file=one) for one in (here, gone)]
    save(office, job_here, tuple(made("photo", one) for one in photos), told())
    content = job_files.export_job(office, job_here)
    assert read_job_bundle(content).files == {here: b"a picture"}
    assert job_files.bring_in(office, content, told()).missing == 1


def test_what_was_signed_elsewhere_is_not_signed_here(office, job_here):
    opened = jobs.open_job(office, job_here)
    edit = changed("job", job_here, opened.version("job", job_here), {"stage": Stage.SIGNED})
    save(office, job_here, (edit,), told())
    brought = job_files.bring_in(office, job_files.export_job(office, job_here), told())
    assert head_of(office, brought.job_id).stage is Stage.DESIGN


def test_brought_in_job_is_taken_along_with_its_own_prices(office, job_here):
    brought = job_files.bring_in(office, job_files.export_job(office, job_here), told()).job_id
    reprice(office, "9999")
    again = job_files.bring_in(office, job_files.export_job(office, brought), told()).job_id
    assert cost_of(office, again) == cost_of(office, brought)


def test_bare_job_file_is_taken_too(office, job_here):
    opened = jobs.open_job(office, job_here)
    job, basis = job_files.taken_along(opened.job, opened.basis)
    brought = job_files.bring_in(office, write_job_file(job, basis), told())
    assert cost_of(office, brought.job_id) == cost_of(office, job_here)


def test_undo_takes_the_whole_job_back(office, job_here):
    brought = job_files.bring_in(office, job_files.export_job(office, job_here), told()).job_id
    jobs.undo(office, brought, uuid4())
    from app.services.home import every_job

    assert [line.job_id for line in every_job(office)] == [str(job_here)]


@pytest.mark.parametrize(
    "content", [b"", b"{}", b"PK\x03\x04broken", b"\x89PNG", b'{"format":"outlay job","version":99}']
)
def test_anything_else_is_refused_in_a_sentence_beside_the_file(office, content):
    with pytest.raises(BadValue) as refused:
        job_files.bring_in(office, content, told())
    assert refused.value.field == "file"
    assert refused.value.sentence.endswith((".", "again."))


def test_marked_values_of_other_jobs_do_not_travel(office, job_here):
    other = yard(office)
    opened = jobs.open_job(office, other)
    edit = changed("job", other, opened.version("job", other), {"private_note": "OF-THE-OTHER-JOB"})
    save(office, other, (edit,), told())
    assert b"OF-THE-OTHER-JOB" not in read_all(job_files.export_job(office, job_here))


def read_all(content: bytes) -> bytes:
    import zipfile
    from io import BytesIO

    with zipfile.ZipFile(BytesIO(content)) as held:
        return b"".join(held.read(name) for name in held.namelist())


def test_basis_that_fills_up_keeps_its_own_firm(office, job_here):
    from app.services.own_basis import laid_over

    live = jobs.open_job(office, job_here).basis
    own = replace(live, firm=replace(live.firm, name="Elsewhere"), assemblies={})
    laid = laid_over(live, own)
    assert laid.firm.name == "Elsewhere"
    assert laid.assemblies == live.assemblies
