"""Uploads: what goes in is checked by content, what comes out is pixels and nothing else."""

import random
import struct
import zlib
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from PIL import Image, ImageCms, PngImagePlugin

from app.domain.errors import BadValue
from app.interchange.pictures import check_pages, clean_picture
from app.worker import run_now

RED, BLUE = (200, 30, 20), (20, 40, 200)


def saved(picture: Image.Image, kind: str, **how: Any) -> bytes:
    out = BytesIO()
    picture.save(out, kind, **how)
    return out.getvalue()


def halves(size: tuple[int, int] = (80, 40)) -> Image.Image:
    """Left half red, right half blue."""
    picture = Image.new("RGB", size, RED)
    picture.paste(BLUE, (size[0] // 2, 0, *size))
    return picture


def opened(content: bytes) -> Image.Image:
    picture = Image.open(BytesIO(content))
    picture.load()
    return picture


def near(a: Any, b: Any) -> bool:
    return all(abs(x - y) < 12 for x, y in zip(a[:3], b, strict=True))


def with_place() -> bytes:
    """A photo that says where, with what and in which position it was taken."""
    exif = Image.Exif()
    exif[0x0112] = 6  # turned: to be shown rotated a quarter to the right (Exif 2.3, tag 274)
    exif[0x010F] = "MARKED-MAKER"
    exif.get_ifd(0x8825).update({1: "N", 2: (41.0, 24.0, 12.5), 3: "W", 4: (81.0, 51.0, 3.0)})
    return saved(halves(), "JPEG", exif=exif, comment=b"MARKED-COMMENT", quality=95)


def test_location_camera_and_comment_are_gone_and_the_picture_is_upright() -> None:
    before = with_place()
    assert opened(before).getexif().get_ifd(0x8825)
    assert b"MARKED-MAKER" in before
    after = clean_picture(before)
    picture = opened(after)
    assert not picture.getexif()
    assert b"MARKED" not in after
    assert b"Exif" not in after
    assert picture.size == (40, 80)
    assert near(picture.getpixel((20, 10)), RED)
    assert near(picture.getpixel((20, 70)), BLUE)


def test_png_text_and_what_follows_the_picture_are_gone() -> None:
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", "MARKED-TEXT")
    after = clean_picture(saved(halves(), "PNG", pnginfo=text) + b"MARKED-TAIL PK\x03\x04")
    assert b"MARKED" not in after
    assert opened(after).format == "JPEG"


MODES = {
    "JPEG": ("RGB", "L", "1", "CMYK"),
    "PNG": ("RGB", "L", "P", "1", "RGBA", "LA", "I;16"),
    "WEBP": ("RGB", "RGBA"),
}


@pytest.mark.parametrize(("kind", "mode"), [(kind, mode) for kind, modes in MODES.items() for mode in modes])
def test_every_kind_and_mode_becomes_a_plain_picture(kind: str, mode: str) -> None:
    picture = Image.new("I;16", (8, 8)) if mode == "I;16" else halves((8, 8)).convert(mode)
    if mode in ("RGBA", "LA"):
        picture.putalpha(Image.new("L", (8, 8), 128))
    after = opened(clean_picture(saved(picture, kind)))
    assert after.mode == ("RGBA" if mode in ("RGBA", "LA") else "RGB")
    assert after.size == (8, 8)


def test_see_through_stays_see_through() -> None:
    mark = Image.new("RGBA", (10, 10), (0, 0, 0, 0))
    mark.putpixel((5, 5), (10, 20, 30, 255))
    after = opened(clean_picture(saved(mark, "PNG")))
    assert (after.format, after.mode) == ("PNG", "RGBA")
    assert after.getpixel((0, 0))[3] == 0  # type: ignore[index]
    assert after.getpixel((5, 5)) == (10, 20, 30, 255)


def test_color_profile_is_worked_in_and_left_out() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    after = opened(clean_picture(saved(halves(), "JPEG", icc_profile=profile, quality=95)))
    assert "icc_profile" not in after.info
    assert near(after.getpixel((5, 5)), RED)
    broken = clean_picture(saved(halves(), "JPEG", icc_profile=b"no profile", quality=95))
    assert near(opened(broken).getpixel((5, 5)), RED)


def test_large_picture_is_made_smaller_in_proportion() -> None:
    assert opened(clean_picture(saved(halves((6000, 3000)), "JPEG"))).size == (2400, 1200)


def flood() -> bytes:
    """A PNG of 30,000 × 30,000 points in a few hundred kB (ISO/IEC 15948: signature, IHDR, IDAT, IEND)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", 30_000, 30_000, 1, 0, 0, 0, 0)
    body = zlib.compress(b"\0" * 3751 * 30_000, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def test_pixel_flood_is_refused_from_its_head_alone() -> None:
    content = flood()
    assert len(content) < 500_000
    with pytest.raises(BadValue, match=r"900 million points \(30,000 × 30,000\)"):
        clean_picture(content)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "is empty"),
        (b"Hello", "a file of a kind we do not know"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "must be JPEG, PNG or WebP"),
        (b"<!doctype html><script>alert(1)</script>", "must be JPEG, PNG or WebP"),
        (b"%PDF-1.7\n", "This is a PDF file. A picture must be"),
        (saved(halves(), "GIF"), "This is a GIF file"),
        (saved(halves(), "TIFF"), "This is a TIFF? file"),
        (saved(halves((400, 400)), "JPEG")[:900], "damaged"),
        (saved(halves((400, 400)), "PNG")[:120], "damaged"),
        (b"\xff\xd8\xff\xe0", "JPEG, PNG or WebP|damaged"),
        (b"x" * 30_000_001, "is 30 MB. It can be up to 30 MB"),
    ],
)
def test_what_is_no_picture_is_refused_in_a_sentence(content: bytes, sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        clean_picture(content)


def test_random_damage_gives_a_picture_or_a_sentence() -> None:
    chance = random.Random(8471)
    whole = [saved(halves(), kind) for kind in ("JPEG", "PNG", "WEBP")]
    for _ in range(300):
        content = bytearray(chance.choice(whole))
        for _ in range(chance.randint(1, 8)):
            content[chance.randrange(len(content))] = chance.randrange(256)
        try:
            opened(clean_picture(bytes(content)))
        except BadValue:
            continue


def pdf(pages: int, **how: Any) -> bytes:
    made = pikepdf.new()
    for _ in range(pages):
        made.add_blank_page()
    if how.pop("script", False):
        made.Root.Names = pikepdf.Dictionary(JavaScript=pikepdf.Dictionary(Names=pikepdf.Array()))
    out = BytesIO()
    made.save(out, **how)
    return out.getvalue()


def test_pdf_pages_are_counted() -> None:
    assert check_pages(pdf(1)) == 1
    assert check_pages(pdf(40)) == 40
    assert run_now("pages", pdf(3)) == b"3"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (pdf(41), "has 41 pages"),
        (pdf(0), "has 0 pages"),
        (pdf(1, encryption=pikepdf.Encryption(owner="a", user="b")), "locked with a password"),
        (pdf(1, script=True), "carries programs"),
        (b"%PDF-1.7\nbroken", "is damaged"),
        (saved(halves(), "JPEG"), "not a PDF"),
        (b"", "is empty"),
    ],
)
def test_pdf_that_cannot_stand_in_a_proposal_is_refused_in_a_sentence(content: bytes, sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        check_pages(content)


def test_worker_cleans_pictures() -> None:
    assert run_now("picture", with_place()) == clean_picture(with_place())
