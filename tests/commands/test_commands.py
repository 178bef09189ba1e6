"""The command line, as typed: each command on real files, its refusals as sentences, its JSON as JSON."""

import json

import pypdf
import pytest

from app.__main__ import main
from app.config import Settings
from app.db.migrate import migrate
from app.db.serving import alone
from app.db.session import Database
from app.documents.pdf import pdf_available
from app.services import job_files, jobs
from tests.services.yard_of_ours import priced, with_library, yard

needs_pango = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


@pytest.fixture
def job(office):
    priced(with_library(office), "base-stone-34", "bedding-sand")
    return yard(office)


@pytest.fixture
def job_file(office, job, tmp_path):
    path = tmp_path / "job.zip"
    path.write_bytes(job_files.export_job(office, job))
    return path


@pytest.fixture
def run(capsys):
    """Run the command line; gives back exit code, what was said, and what was said on the error stream."""

    def typed(*words):
        code = main([str(word) for word in words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return typed


@pytest.fixture
def on_data(run, office):
    return lambda *words: run("--data", office.settings.data, *words)


def test_help_names_every_command(capsys):
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    said = capsys.readouterr().out
    assert ended.value.code == 0
    for command in [
        "serve",
        "estimate",
        "check",
        "order",
        "crew",
        "proposal",
        "plan",
        "jobs",
        "export",
        "import",
        "backup",
        "restore",
        "verify",
    ]:
        assert f"    {command} " in said, command


def test_estimate_of_a_file_equals_the_estimate_of_the_pages(run, office, job, job_file):
    from app.domain.costing.estimate import estimate

    code, said, _ = run("estimate", job_file, "--json")
    opened = jobs.open_job(office, job)
    worked = estimate(opened.job, opened.basis)
    assert code == 0
    assert json.loads(said)["cost_cents"] == worked.cost_cents
    assert json.loads(said)["likely_cents"] == worked.range.likely
    assert json.loads(said)["percentiles"]["90"] == round(worked.range.high, -2)
    assert json.loads(said)["class"] in range(1, 6)


def test_estimate_says_a_range_in_words_while_the_price_is_not_firm(run, job_file):
    code, said, _ = run("estimate", job_file)
    assert code == 0
    assert "a range" in said
    assert "A Dining terrace" in said
    assert "Not firm yet" in said
    assert "of 5: A" in said


def test_check_ends_with_one_while_something_stops_the_signing(run, job_file):
    code, said, _ = run("check", job_file)
    assert code == 1
    assert "has no price yet" in said
    assert "Not ready to sign" in said
    code, said, _ = run("check", job_file, "--json")
    assert code == 1
    assert json.loads(said)["ready"] is False


def test_order_reads_as_text_table_and_json(run, job_file):
    assert "Wren Hollow Stone, 555 0117" in run("order", job_file)[1]
    assert run("order", job_file, "--csv")[1].startswith("Phase,Phase title")
    assert any(one["supplier"] == "yard" for one in json.loads(run("order", job_file, "--json")[1]))


def test_crew_says_depths_and_cautions_and_no_money(run, job_file):
    code, said, _ = run("crew", job_file)
    assert code == 0
    assert '9 3/8"  Dig' in said
    assert "CAUTION Gas" in said
    assert "$" not in said
    sheets = json.loads(run("crew", job_file, "--json")[1])
    assert {one["title"] for one in sheets} >= {"Dining terrace"}


@needs_pango
@pytest.mark.parametrize("command", ["proposal", "order", "crew", "plan"])
def test_documents_are_printed_without_a_server(run, job_file, tmp_path, command):
    out = tmp_path / f"{command}.pdf"
    code, said, _ = run(command, job_file, "-o", out)
    assert code == 0
    assert str(out) in said
    assert len(pypdf.PdfReader(out).pages) >= 1
    assert run(command, job_file, "-o", out)[0] == 2  # never over a file that is there


@pytest.mark.parametrize("command", ["estimate", "check", "order", "crew"])
def test_other_files_are_refused_in_a_sentence(run, tmp_path, command):
    (tmp_path / "other.json").write_text("{}")
    code, _, wrong = run(command, tmp_path / "other.json")
    assert code == 2
    assert wrong.startswith("This is not a job file")
    code, _, wrong = run(command, tmp_path / "nowhere.json")
    assert code == 2
    assert "cannot be read" in wrong


def test_export_and_import_by_number(on_data, office, job, tmp_path):
    code, said, _ = on_data("jobs")
    assert code == 0
    assert "Linnea Whitlock" in said
    out = tmp_path / "taken.zip"
    assert on_data("export", "1", "-o", out)[0] == 0
    code, said, _ = on_data("import", out, "--json")
    assert code == 0
    assert json.loads(said)["missing"] == 0
    assert len(json.loads(on_data("jobs", "--json")[1])) == 2
    assert on_data("export", "99")[0] == 2


def test_job_taken_along_is_the_same_job_by_command_and_estimates_alike(run, office, job, tmp_path):
    from app.config import Settings
    from app.services.office import open_office
    from app.services.takings import file_of, take_along
    from tests.services.yard_of_ours import told

    out = tmp_path / "along.zip"
    out.write_bytes(file_of(office, take_along(office, job, "the laptop", told())))
    there = Settings(data=tmp_path / "there")
    open_office(there, office.shipped).database.close()
    code, said, _ = run("--data", there.data, "import", out)
    assert code == 0
    assert "the same job" in said
    assert json.loads(run("--data", there.data, "jobs", "--json")[1])[0]["job_id"] == str(job)
    here = jobs.open_job(office, job)
    from app.domain.costing.estimate import estimate

    worked = json.loads(run("estimate", out, "--json")[1])
    assert worked["cost_cents"] == estimate(here.job, here.basis).cost_cents


def test_restore_is_refused_under_open_pages_and_reading_goes_on(on_data, office, job_file):
    with alone(office.settings.data, "http://127.0.0.1:8137"):
        code, _, wrong = on_data("restore", job_file)
        assert code == 2
        assert "running at http://127.0.0.1:8137" in wrong
        assert "under the pages that are open" in wrong
        assert on_data("jobs")[0] == 0


def test_data_of_an_older_release_is_not_brought_forward_under_open_pages(run, tmp_path):
    data = tmp_path / "data"
    database = Database(data / "outlay.db")
    migrate(database, Settings().migrations, to="0001")
    database.close()
    with alone(data, "http://127.0.0.1:8137"):
        code, _, wrong = run("--data", data, "jobs")
    assert (code, "running at http://127.0.0.1:8137" in wrong) == (2, True)
    assert run("--data", data, "jobs")[0] == 0


def test_backup_while_served_then_restore_elsewhere_and_verify(on_data, run, office, job, tmp_path):
    with alone(office.settings.data, "http://127.0.0.1:8137"):
        code, said, _ = on_data("backup", tmp_path / "b.zip")
    assert code == 0
    assert said.startswith("Jobs 1, entries ")
    other = tmp_path / "elsewhere"
    assert run("--data", other, "restore", tmp_path / "b.zip")[0] == 0
    code, said, _ = run("--data", other, "verify", "--json")
    assert (code, json.loads(said)) == (0, {"faults": [], "erased_entries": 0})


def test_backup_into_a_folder_is_named_by_its_time(on_data, job, tmp_path):
    (tmp_path / "stick").mkdir()
    assert on_data("backup", tmp_path / "stick")[0] == 0
    assert [one.suffix for one in (tmp_path / "stick").iterdir()] == [".zip"]


def test_verify_ends_with_one_when_something_does_not_hold(on_data, office, job):
    from app.db.files import FileStore

    name = FileStore(office.settings.files).keep(b"whole")
    (office.settings.files / name[:2] / name).write_bytes(b"rotten")
    code, said, _ = on_data("verify")
    assert code == 1
    assert "damaged" in said


@pytest.mark.parametrize("words", [("jobs",), ("export", "1"), ("backup", "x.zip"), ("verify",)])
def test_folder_without_data_is_refused_and_not_made(run, tmp_path, words):
    code, _, wrong = run("--data", tmp_path / "empty", *words)
    assert code == 2
    assert "There is no data" in wrong
    assert not (tmp_path / "empty" / "outlay.db").exists()


def test_restore_of_something_else_is_refused(on_data, office, tmp_path):
    (tmp_path / "x.zip").write_bytes(b"nonsense")
    code, _, wrong = on_data("restore", tmp_path / "x.zip")
    assert code == 2
    assert "no backup" in wrong
    assert on_data("restore", tmp_path / "nowhere.zip")[0] == 2
