"""A picture below the plan: taken in without its place, scaled by two known points, turned, hidden, refused when too large."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from PIL import Image

from app.services.underlays import on_picture, on_plan
from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def photo(width: int = 300, height: int = 200) -> bytes:
    out = BytesIO()
    exif = Image.Exif()
    exif[0x010F] = "A camera"
    exif.get_ifd(0x8825)[1] = "N"  # where it was taken
    Image.new("RGB", (width, height), "#99aa88").save(out, "JPEG", exif=exif)
    return out.getvalue()


def laid(yard: Yard, content: bytes, title: str = "Plat"):
    return yard.post("plan/underlay/new", {"title": title}, files={"file": ("plat.jpg", content, "image/jpeg")})


def test_picture_is_laid_below_the_plan_without_its_place(yard: Yard) -> None:
    answer = laid(yard, photo())
    assert answer.status_code == 200, answer.text
    one = yard.job.underlays[0]
    assert (one.title, one.width, one.height) == ("Plat", 300, 200)
    assert one.width * one.scale == pytest.approx(60)
    page = yard.get("plan").text
    address = f"/jobs/{yard.id}/plan/underlay/{one.id}"
    assert f'<image href="{address}"' in page
    content = yard.browser.get(address).content
    assert Image.open(BytesIO(content)).getexif() == {}


def test_picture_goes_along_in_the_job_file(yard: Yard) -> None:
    laid(yard, photo())
    taken = yard.browser.get(f"/jobs/{yard.id}/job-file.zip").content
    assert any(yard.job.underlays[0].file in name for name in ZipFile(BytesIO(taken)).namelist())


def test_picture_never_leaves_our_face(yard: Yard) -> None:
    yard.zone()
    laid(yard, photo())
    for path in (f"/show/{yard.id}/plan", f"/jobs/{yard.id}/build", f"/jobs/{yard.id}/site"):
        assert "<image href" not in yard.browser.get(path).text


def test_two_known_points_scale_and_turn_it_and_the_first_stays_put(yard: Yard) -> None:
    laid(yard, photo())
    one = yard.job.underlays[0]
    start = on_plan(one, (50, 150))
    end = on_plan(one, (250, 150))
    sent = {"start.x": start[0], "start.y": start[1], "end.x": end[0], "end.y": end[1], "length": "25'", "version": "1"}
    answer = yard.post(f"plan/underlay/{one.id}/scale", {**sent, "direction": "up"})
    assert answer.status_code == 200, answer.text
    after = yard.job.underlays[0]
    # 200 px are 25 ft now
    assert after.scale == pytest.approx(0.125)
    assert after.turn == pytest.approx(270)
    assert on_plan(after, (50, 150)) == pytest.approx(start)
    assert on_plan(after, (250, 150)) == pytest.approx((start[0], start[1] + 25))
    assert on_picture(after, on_plan(after, (12, 34))) == pytest.approx((12, 34))
    assert (after.known_from, after.known_length) == (pytest.approx((50, 150)), 25)
    assert yard.post("undo", {"sheet": "plan"}).status_code == 200
    assert yard.job.underlays[0].scale == pytest.approx(0.2)


def test_it_is_typed_moved_hidden_and_taken_out(yard: Yard) -> None:
    laid(yard, photo())
    one = yard.job.underlays[0]
    typed = {"across": "40'", "turn": "30", "x": "-2", "opacity": "30%", "shown": "", "version": "1"}
    assert yard.post(f"plan/underlay/{one.id}", typed).status_code == 200
    after = yard.job.underlays[0]
    assert (after.scale, after.turn, after.x, after.opacity, after.shown) == (
        pytest.approx(40 / 300),
        30,
        -2,
        0.3,
        False,
    )
    assert "<image href" not in yard.get("plan").text
    assert (
        yard.post(f"plan/drawn/underlay/{one.id}/move", {"east": "3", "north": "1", "version": "2"}).status_code == 200
    )
    assert (yard.job.underlays[0].x, yard.job.underlays[0].y) == (1, 1)
    assert yard.post(f"plan/underlay/{one.id}/remove", {"version": "3"}).status_code == 200
    assert yard.job.underlays == ()


def test_plan_that_is_empty_but_for_a_picture_can_be_drawn_on(yard: Yard) -> None:
    laid(yard, photo())
    assert 'data-scale="' in yard.get("plan").text


@pytest.mark.parametrize("content", [b"", b"not a picture", b"%PDF-1.7 nothing", b"x" * 30_000_001])
def test_what_is_no_picture_or_too_large_is_refused_with_a_sentence(yard: Yard, content: bytes) -> None:
    answer = laid(yard, content)
    assert answer.status_code == 422
    assert any(words in text_of(answer.text) for words in ("Choose a picture", "must be JPEG", "It can be up to 30 MB"))
    assert yard.job.underlays == ()


@pytest.mark.parametrize(
    ("path", "fields", "status"),
    [
        ("{id}/scale", {"start.x": "0", "start.y": "0", "end.x": "0", "end.y": "0", "length": "5"}, 422),
        ("{id}/scale", {"start.x": "0", "start.y": "0", "end.x": "9", "end.y": "0", "length": "x"}, 422),
        ("{id}/scale", {"start.x": "0", "start.y": "0", "end.x": "9", "end.y": "0", "length": "0"}, 422),
        ("{id}", {"across": "0"}, 422),
        ("{id}", {"opacity": "150%"}, 422),
        ("00000000-0000-4000-8000-000000000000", {"title": "a"}, 404),
    ],
)
def test_what_cannot_be_is_said(yard: Yard, path: str, fields: dict, status: int) -> None:
    laid(yard, photo())
    one = yard.job.underlays[0]
    assert yard.post("plan/underlay/" + path.format(id=one.id), {"version": "1", **fields}).status_code == status
    assert yard.job.underlays[0] == one
