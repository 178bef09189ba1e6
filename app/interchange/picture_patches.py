"""Patches of a kept picture around places somebody tapped: their light, how it scatters. Decoded in the worker."""

from collections.abc import Mapping
from io import BytesIO
from typing import Any

import msgspec

from app.domain.errors import BadValue

RADIUS = 0.012  # of the longer side
BURNED = 252  # of 255: as bright as a picture can be, give or take its packing


def patches_task(payload: Any, tell: Any) -> bytes:
    """The worker's task "patches": a cleaned picture and places by name (shares of its sides), out: patches as JSON."""
    tell(0.1, "Reading the picture")
    return msgspec.json.encode(patches(payload["picture"], payload["places"]))


def patches(content: bytes, places: Mapping[str, tuple[float, float]]) -> dict[str, Any]:
    """Mean light, scatter and burned share of the points around each place. Raises: BadValue outside the picture."""
    import numpy as np
    from PIL import Image

    try:
        with Image.open(BytesIO(content), formats=("JPEG", "PNG")) as picture:
            points = np.asarray(picture.convert("RGB"))
    except (OSError, ValueError, SyntaxError) as broken:
        raise BadValue("This picture is damaged: only a part of it can be read.") from broken
    return {name: _patch(points, place, name) for name, place in places.items()}


def _patch(points: Any, place: tuple[float, float], name: str) -> dict[str, Any]:
    high, wide = points.shape[:2]
    if not (0 <= place[0] <= 1 and 0 <= place[1] <= 1):
        raise BadValue("That tap lies beside the picture. Tap on it.", field=name)
    radius = max(round(RADIUS * max(high, wide)), 2)
    x, y = (min(max(round(share * size), 0), size - 1) for share, size in zip(place, (wide, high), strict=True))
    near = points[max(y - radius, 0) : y + radius + 1, max(x - radius, 0) : x + radius + 1].reshape(-1, 3)
    light = _linear(near / 255)
    return {
        "mean": [float(part) for part in light.mean(axis=0)],
        "scatter": [float(part) for part in light.std(axis=0)],
        "burned": float((near >= BURNED).any(axis=1).mean()),
    }


def _linear(coded: Any) -> Any:
    """Codes of sRGB (0 to 1) as shares of light. Source: IEC 61966-2-1."""
    import numpy as np

    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
