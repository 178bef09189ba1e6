"""A large file that comes in pieces: it goes on where it ended, is what it was named, and is kept for a day."""

import os
from collections.abc import Iterator
from hashlib import sha256
from io import BytesIO
from uuid import UUID

import pytest
from PIL import Image

from app.services import pieces
from app.services.jobs import open_job
from app.services.office import Office
from tests.web.conftest import Browser

PIECE = pieces.PIECE


def picture() -> bytes:
    """Some two megabytes of a picture that cannot be made smaller."""
    made = BytesIO()
    Image.frombytes("RGB", (900, 700), os.urandom(900 * 700 * 3)).save(made, "PNG")
    return made.getvalue()


@pytest.fixture
def browser(stocked: Office) -> Iterator[Browser]:
    opened = Browser(stocked)
    with opened.client:
        yield opened


def sent(web: Browser, content: bytes, at: int, **more: object):
    name = more.pop("name", sha256(content).hexdigest())
    form = {"at": str(at), "size": str(more.pop("size", len(content)))}
    return web.post(f"/pieces/{name}", form, files={"file": ("piece", content[at : at + PIECE])})


def test_photo_goes_on_where_the_line_was_cut_and_is_the_very_picture(browser: Browser, ready: UUID) -> None:
    content = picture()
    name = sha256(content).hexdigest()
    assert browser.get(f"/pieces/{name}").json() == {"there": 0, "piece": PIECE}
    sent(browser, content, 0)
    there = sent(browser, content, 0).json()["there"]  # its answer was lost: sent again, and not doubled
    assert there == PIECE == browser.get(f"/pieces/{name}").json()["there"]
    for at in range(PIECE, len(content), PIECE):
        there = sent(browser, content, at).json()["there"]
    assert there == len(content)
    answer = browser.post(
        f"/jobs/{ready}/site/photo/new", {"file_in_pieces": name, "caption": "Gate", "when": "before"}
    )
    assert answer.status_code < 400, answer.text
    photo = open_job(browser.office, ready).job.photos[-1]
    shown = Image.open(BytesIO(browser.get(f"/jobs/{ready}/photos/{photo.id}").content))
    assert (photo.caption, shown.size) == ("Gate", (900, 700))
    assert browser.get(f"/pieces/{name}").json()["there"] == 0  # taken: let go of


def test_photo_that_has_not_come_whole_is_asked_for_again(browser: Browser, ready: UUID) -> None:
    content = picture()
    sent(browser, content, 0)
    form = {"file_in_pieces": sha256(content).hexdigest(), "when": "before"}
    answer = browser.post(f"/jobs/{ready}/site/photo/new", form)
    assert answer.status_code == 422
    assert "Send it again" in answer.text
    assert not open_job(browser.office, ready).job.photos


def test_other_bytes_than_were_named_are_let_go_of(browser: Browser) -> None:
    other = sha256(b"something else").hexdigest()
    answer = sent(browser, b"not that", 0, name=other)
    assert answer.status_code == 422
    assert "lost on the way" in answer.text
    assert browser.get(f"/pieces/{other}").json()["there"] == 0


@pytest.mark.parametrize(("at", "size"), [(0, 40_000_001), (0, 0), (5, 8), (-1, 8)])
def test_piece_that_does_not_fit_is_refused(browser: Browser, at: int, size: int) -> None:
    content = b"eight or"
    form = {"at": str(at), "size": str(size)}
    answer = browser.post(f"/pieces/{sha256(content).hexdigest()}", form, files={"file": ("piece", content)})
    assert answer.status_code == 422
    assert not list((browser.office.settings.data / "pieces").glob("*"))


def test_no_more_files_than_ten_are_on_their_way_and_none_for_longer_than_a_day(browser: Browser) -> None:
    office = browser.office
    for number in range(pieces.MOST_KEPT):
        assert sent(browser, b"%d and more to come" % number, 0, size=50).status_code == 200
    assert sent(browser, b"one too many", 0, size=50).status_code == 409
    folder = office.settings.data / "pieces"
    assert {one.stat().st_mode & 0o777 for one in folder.iterdir()} == {0o600}
    long_ago = (office.clock() - pieces.KEPT_FOR).timestamp() - 60
    for one in folder.iterdir():
        os.utime(one, (long_ago, long_ago))
    assert sent(browser, b"now there is room", 0).status_code == 200
    assert len(list(folder.iterdir())) == 1


@pytest.mark.parametrize("name", ["%2e%2e%2fsecret", "abc", "A" * 64])
def test_what_names_no_file_is_not_there(browser: Browser, name: str) -> None:
    assert browser.get(f"/pieces/{name}").status_code == 404
