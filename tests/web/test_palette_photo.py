"""Colors taken from photos: two taps without script, a material that takes the color, what cannot be read."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import pytest
from PIL import Image

from tests.web.yard import SHIPPED, Yard, text_of

PAVERS = sorted(m.key for m in SHIPPED.materials.values() if m.role == "finish")


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def sample_photo() -> bytes:
    drawn = Image.new("RGB", (640, 480), "#7d6f5c")
    drawn.paste((214, 208, 196), (0, 0, 320, 480))  # a card in warm light
    out = BytesIO()
    drawn.save(out, "JPEG", quality=95)
    return out.getvalue()


def test_a_color_is_taken_from_a_photo_by_two_taps_without_script(yard: Yard) -> None:
    sent = yard.post("palette/photo", files={"file": ("samples.jpg", sample_photo(), "image/jpeg")})
    assert sent.status_code == 200, sent.text
    (photo,) = yard.job.photos
    here = f"palette/photo/{photo.id}"
    assert "Tap the white card" in text_of(sent.text)
    size = "wide=320&high=240"
    assert "Now tap the stone" in text_of(yard.get(f"{here}?{size}&white.x=60&white.y=120").text)
    told = yard.get(f"{here}?{size}&white.x=60&white.y=120&stone.x=260&stone.y=120").text
    assert "may be off by ΔE 5" in text_of(told)
    taps = {"wide": "320", "high": "240", "white.x": "60", "white.y": "120", "stone.x": "260", "stone.y": "120"}
    assert yard.post(here, {**taps, "material": f"{PAVERS[0]}@0"}).status_code == 200
    own = yard.office.basis().materials[PAVERS[0]]
    assert own.color in told
    assert own.color_as.startswith("photo, ")
    assert own.color_within == pytest.approx(5.0, abs=0.2)
    stale = yard.post(here, {**taps, "material": f"{PAVERS[0]}@0"})
    assert stale.status_code == 409
    assert yard.post(here, {**taps, "material": "nothing@0"}).status_code == 404


def test_taps_that_cannot_be_read_are_said_and_nothing_changes(yard: Yard) -> None:
    yard.post("palette/photo", files={"file": ("samples.jpg", sample_photo(), "image/jpeg")})
    here = f"palette/photo/{yard.job.photos[0].id}"
    turned = yard.get(f"{here}?wide=320&high=240&white.x=260&white.y=120&stone.x=60&stone.y=120")
    assert turned.status_code == 422
    assert "too dark to be a white card" in text_of(turned.text)
    beside = yard.get(f"{here}?wide=320&high=240&white.x=960&white.y=120&stone.x=60&stone.y=120")
    assert "beside the picture" in text_of(beside.text)
    assert yard.get(f"palette/photo/{uuid4()}").status_code == 404
    assert yard.post("palette/photo", files={"file": ("x.jpg", b"no picture", "image/jpeg")}).status_code == 422
