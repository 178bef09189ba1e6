"""Uploads: pictures and PDF pages, taken for what their content is and not for what they are called.

A picture is decoded and written anew, turned upright, without anything but its pixels: no place, no camera, no hidden
text. Decoding runs in the worker (tasks "picture" and "pages").
"""

from io import BytesIO
from typing import Any

from app.domain.errors import BadValue

MOST_BYTES = 30_000_000
MOST_PIXELS = 60_000_000
MOST_PAGES = 40
LONGEST_SIDE = 2_400  # px: a full letter page at 220 dots per inch
READ = ("JPEG", "PNG", "WEBP")
QUALITY = 85
SMALL_SIDE = 480  # px: twice the width a picture has in a list
ACTING = ("/JavaScript", "/EmbeddedFiles")


def clean_picture(content: bytes) -> bytes:
    """A picture written anew: JPEG, or PNG where it is see-through; upright, in sRGB, at most 2,400 px a side.

    Raises: BadValue, in a sentence, on what is no JPEG, PNG or WebP picture, is damaged, or is too large.
    """
    _check_size(content)
    picture = _opened(content)
    try:
        return _written_anew(picture)
    except (OSError, ValueError, SyntaxError, EOFError, OverflowError) as broken:
        raise BadValue("This picture is damaged: only a part of it can be read. Send it again.") from broken


def small_picture(content: bytes) -> bytes:
    """A cleaned picture made small for a list of pictures: at most 480 px a side.

    Raises: BadValue on what is no picture.
    """
    picture = _opened(content)
    try:
        picture.draft("RGB", (SMALL_SIDE * 2, SMALL_SIDE * 2))
        small = _in_srgb(picture)
        small.thumbnail((SMALL_SIDE, SMALL_SIDE))
        return _packed(small)
    except (OSError, ValueError, SyntaxError, EOFError, OverflowError) as broken:
        raise BadValue("This picture is damaged: only a part of it can be read.") from broken


def size_of_picture(content: bytes) -> tuple[int, int]:
    """Width and height [px] of a picture that was written anew here."""
    width, height = _opened(content).size
    return int(width), int(height)


def check_pages(content: bytes) -> int:
    """The number of pages of an uploaded PDF.

    Raises: BadValue, in a sentence, on what is no PDF, is locked or damaged, has too many pages, or carries programs or
    other files.
    """
    _check_size(content)
    if not content.startswith(b"%PDF-"):
        raise BadValue(f"This is {_kind(content)}, not a PDF. Save the pages as a PDF and choose that.")
    from pypdf import PdfReader

    try:
        reader = PdfReader(BytesIO(content))
        locked = reader.is_encrypted
        pages = 0 if locked else len(reader.pages)
        names: Any = {} if locked or "/Names" not in reader.root_object else reader.root_object["/Names"]
    except Exception as broken:
        raise BadValue("This PDF is damaged: it cannot be opened. Save it again.") from broken
    if locked:
        raise BadValue("This PDF is locked with a password. Save it without one.")
    if not 1 <= pages <= MOST_PAGES:
        raise BadValue(f"This PDF has {pages:,} pages. It can have 1 to {MOST_PAGES}.")
    if any(name in names for name in ACTING):
        raise BadValue("This PDF carries programs or other files inside. Print it to a new PDF and choose that.")
    return pages


def picture_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "picture": bytes in, the cleaned picture out."""
    tell(0.1, "Reading the picture")
    return clean_picture(payload)


def small_picture_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "small picture": a cleaned picture in, a small one out."""
    tell(0.1, "Reading the picture")
    return small_picture(payload)


def pages_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "pages": a PDF in, the number of its pages out as text."""
    tell(0.1, "Reading the pages")
    return str(check_pages(payload)).encode()


def _check_size(content: bytes) -> None:
    if not content:
        raise BadValue("The file is empty. Choose another.", field="file")
    if len(content) > MOST_BYTES:
        raise BadValue(f"The file is {len(content) / 1e6:,.0f} MB. It can be up to {MOST_BYTES // 1_000_000} MB.")


def _opened(content: bytes) -> Any:
    """The picture, with only its head read so far."""
    from PIL import Image, ImageFile, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = None  # our own limit comes first, with a sentence
    ImageFile.LOAD_TRUNCATED_IMAGES = False  # the printing library sets it, where it is loaded
    try:
        picture = Image.open(BytesIO(content), formats=READ)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as unknown:
        raise BadValue(f"This is {_kind(content)}. A picture must be JPEG, PNG or WebP.", field="file") from unknown
    width, height = picture.size
    if width * height > MOST_PIXELS:
        raise BadValue(
            f"This picture has {width * height / 1e6:,.0f} million points ({width:,} × {height:,}). "
            f"It can have {MOST_PIXELS // 1_000_000} million."
        )
    return picture


def _written_anew(picture: Any) -> bytes:
    from PIL import Image, ImageOps

    picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))  # a large JPEG is decoded at a fraction of its size
    upright = _in_srgb(ImageOps.exif_transpose(picture))
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    bare = Image.new(upright.mode, upright.size)
    bare.paste(upright)
    return _packed(bare)


def _packed(picture: Any) -> bytes:
    out = BytesIO()
    if picture.mode == "RGBA":
        picture.save(out, "PNG", optimize=True)
    else:
        picture.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def _in_srgb(picture: Any) -> Any:
    """A picture as plain red, green, blue (and see-through where it is)."""
    from PIL import ImageCms

    mode = "RGBA" if picture.has_transparency_data else "RGB"
    profile = picture.info.get("icc_profile")
    if profile and picture.mode in ("RGB", "CMYK"):
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            picture = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
        except (ImageCms.PyCMSError, OSError):
            pass  # a profile that cannot be read: the numbers as they stand
    return picture.convert(mode)


def _kind(content: bytes) -> str:
    """What a file is, in words, by its content."""
    import puremagic

    try:
        found = puremagic.from_string(content[:4096]).lstrip(".")
    except (puremagic.PureError, ValueError):
        found = ""
    return f"a {found.upper()} file" if found else "a file of a kind we do not know"
