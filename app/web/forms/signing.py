"""The form of one person's signing: typed name, strokes from the pad, or a scan of signed paper."""

from base64 import b64decode
from binascii import Error as NotBase64

import msgspec
from starlette.datastructures import FormData, UploadFile

from app.domain.contract.cancelling import SignedAt
from app.services.revisions import Act
from app.web.forms.fields import Parsed, Texts

MOST_POINTS = 20_000
ROLES = ("owner", "co-owner", "agent for the owner")
Strokes = tuple[tuple[tuple[float, float], ...], ...]


async def read_act(form: FormData, device: str) -> tuple[Parsed, Act]:
    """What the page sent; a sentence beside the pad when nothing was drawn and no scan sent."""
    by_hand = form.get("by") == "paper"
    role = str(form.get("role", ""))
    if role not in ROLES:
        role = ""
    name = str(form.get("name", "")).strip()[:200]
    scan = form.get("scan")
    content = await scan.read() if isinstance(scan, UploadFile) and scan.size else b""
    strokes, error = _strokes(str(form.get("strokes", "")))
    errors = Texts()
    if not name:
        errors["name"] = "Choose who signs."
    if not form.get("agree") and not by_hand:
        errors["agree"] = "Tick that the pages were read; the signature rests on it."
    if by_hand and not content:
        errors["scan"] = "Attach a picture or the PDF of the signed paper."
    elif error:
        errors["strokes"] = error
    elif not strokes and not content:
        errors["strokes"] = (
            "Nothing is signed yet. Sign with a finger or a pen in the frame, or attach the signed paper."
        )
    place = str(form.get("place", ""))
    if place not in {one.value for one in SignedAt if one}:
        errors["place"] = "Choose where this is signed: the days to cancel hang on it."
        place = ""
    act = Act(
        name=name,
        place=place,
        role=role,
        strokes=() if content else strokes,
        picture=b"" if content else _picture(form),
        scan=content,
        device=device,
    )
    typed = {"name": name, "place": place, "role": role, "by": "paper" if by_hand else ""}
    if strokes and not by_hand:
        typed["strokes"] = str(form.get("strokes"))  # what was drawn stands in the frame again beside the sentence
    if form.get("agree"):
        typed["agree"] = "1"
    return Parsed(errors=errors, typed=Texts(typed)), act


def _strokes(text: str) -> tuple[Strokes, str]:
    if not text:
        return (), ""
    try:
        strokes = msgspec.json.decode(text, type=Strokes)
    except (msgspec.ValidationError, msgspec.DecodeError):
        return (), "The signature could not be read. Clear the frame and sign again."
    if sum(len(stroke) for stroke in strokes) > MOST_POINTS:
        return (), "The signature is too long to keep. Clear the frame and sign again."
    return tuple(stroke for stroke in strokes if stroke), ""


def _picture(form: FormData) -> bytes:
    head, _, body = str(form.get("picture", "")).partition(",")
    if not head.startswith("data:image/png;base64"):
        return b""
    try:
        return b64decode(body[:2_000_000], validate=True)
    except (NotBase64, ValueError):
        return b""


_BROWSERS = (("Edg/", "Edge"), ("Firefox/", "Firefox"), ("Chrome/", "Chromium"), ("Safari/", "Safari"))
_MACHINES = (
    ("iPad", "a tablet"),
    ("iPhone", "a phone"),
    ("Android", "an Android device"),
    ("Windows", "Windows"),
    ("Mac OS", "a Mac"),
    ("Linux", "Linux"),
)


def device_kind(user_agent: str) -> str:
    """What a device is called before anybody named it.

    >>> device_kind("Mozilla/5.0 (Linux; Android 16; Pixel 9) Chrome/156.0 Mobile Safari/537.36")
    'Phone'
    """
    if "iPad" in user_agent or ("Android" in user_agent and "Mobile" not in user_agent):
        return "Tablet"
    return "Phone" if "Mobile" in user_agent else "Laptop"


def device_words(user_agent: str) -> str:
    """A device in words, as it names itself.

    >>> device_words("Mozilla/5.0 (X11; Linux x86_64) Chrome/156.0 Safari/537.36")
    'with Chromium on Linux'
    """
    browser = next((word for sign, word in _BROWSERS if sign in user_agent), "a browser")
    machine = next((word for sign, word in _MACHINES if sign in user_agent), "an unknown device")
    return f"with {browser} on {machine}"
