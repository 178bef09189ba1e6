"""Our built styles, scripts and fonts, held in memory: small, hashed, served on the event loop without threads."""

import mimetypes
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.domain.errors import NotFound

router = APIRouter()
mimetypes.add_type("font/woff2", ".woff2")


@dataclass(frozen=True, slots=True)
class Statics:
    """Files by their path below `built`, and one version for all of them."""

    files: dict[str, tuple[bytes, str]]
    version: str


def load_statics(folder: Path) -> Statics:
    """Read `static/built` whole (under 1 MB)."""
    built = folder / "built"
    files = {
        str(path.relative_to(built)): (path.read_bytes(), mimetypes.guess_type(path.name)[0] or "text/plain")
        for path in sorted(built.rglob("*"))
        if path.is_file() and path.name != "stamp"
    }
    return Statics(files, sha256(b"".join(body for body, _ in files.values())).hexdigest()[:12])


@router.get("/built/{version}/{path:path}", include_in_schema=False)
async def built_file(version: str, path: str, request: Request) -> Response:
    """One built file, for a year under its version."""
    statics: Statics = request.app.state.static
    if path not in statics.files:
        raise NotFound("There is no such file.")
    body, kind = statics.files[path]
    age = "max-age=31536000, immutable" if version == statics.version else "no-cache"
    return Response(body, media_type=kind, headers={"cache-control": age})


@router.get("/worker.js", include_in_schema=False)
async def worker(request: Request) -> Response:
    """The script that keeps pages on a device; at the root, for it stands before every page."""
    statics: Statics = request.app.state.static
    body, kind = statics.files.get("worker.js", (b"", "text/javascript"))
    return Response(body, media_type=kind, headers={"cache-control": "no-cache"})
