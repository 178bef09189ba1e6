"""The page of backups: the last one, one now, one to another folder; a wrong folder keeps what was typed."""

from pathlib import Path

from app.services import portable
from app.services.backup_folder import TROUBLE, kept
from app.services.backups import folder_of
from tests.web.conftest import Browser


def test_page_says_there_is_none_then_the_one_that_was_made(web: Browser, job_id) -> None:
    assert "There is none yet" in web.get("/backups").text
    assert web.post("/backups/make").headers["location"] == "/backups?made=here"
    page = web.get("/backups?made=here").text
    one = kept(folder_of(web.office.settings))[0]
    assert one.path.name in page
    assert "opened again and found whole" in page
    assert "There is none yet" not in page


def test_one_to_a_stick_and_a_folder_that_is_not_there(web: Browser, job_id, tmp_path: Path) -> None:
    refused = web.post("/backups/elsewhere", {"folder": "/media/no <stick>"})
    assert refused.status_code == 422
    assert "There is no folder /media/no &lt;stick&gt; on this machine" in refused.text
    assert 'value="/media/no &lt;stick&gt;"' in refused.text
    (tmp_path / "stick").mkdir()
    assert web.post("/backups/elsewhere", {"folder": f" {tmp_path / 'stick'} "}).status_code == 303
    assert str(kept(tmp_path / "stick")[0].path) in web.get("/backups").text


def test_home_says_what_endangers_the_data(web: Browser, job_id) -> None:
    web.office.database.memory[TROUBLE] = "No backup could be made. The disk is full."
    for path in ("/?later=true", "/backups"):
        assert "No backup could be made" in web.get(path).text


def test_portable_one_for_a_new_laptop_and_a_passphrase_too_short_is_not_shown_again(web: Browser, job_id, tmp_path):
    (tmp_path / "stick").mkdir()
    sent = {"laptop": str(tmp_path / "stick"), "passphrase": "too short"}
    refused = web.post("/backups/portable", sent)
    assert refused.status_code == 422
    assert "at least 12 characters" in refused.text
    assert "too short" not in refused.text
    assert f'value="{tmp_path / "stick"}"' in refused.text
    assert list((tmp_path / "stick").iterdir()) == []
    assert web.post("/backups/portable", {**sent, "passphrase": "stone over gravel"}).status_code == 303
    (one,) = (tmp_path / "stick").iterdir()
    assert portable.look(one).keys
