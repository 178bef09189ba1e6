"""In which language the yard's pages are: as it was last tapped on this device. Nobody else's pages are asked."""

from fastapi import Request

from app.domain.people import LANGUAGES
from app.web.reached import read_cookie

LANGUAGE = "language"
A_YEAR = 365 * 24 * 3600  # s
YARD = "/field"


def language_of(request: Request) -> str:
    """The language of the page that is asked for."""
    if not request.url.path.startswith(YARD):
        return "en"
    said = read_cookie(request, LANGUAGE)
    return said if said in LANGUAGES else "en"
