"""A QR code (ISO/IEC 18004) as a drawing for the page: dark modules as one path, with the quiet zone around them."""

from html import escape
from itertools import groupby

import segno

QUIET = 4  # modules of light around the code, ISO/IEC 18004 6.3.8


def qr_svg(text: str, label: str, *, width_px: int = 220) -> str:
    """The code of a text, always dark on white, so that a camera reads it in any light."""
    rows = [bytes(row) for row in segno.make(text, error="m", micro=False).matrix]
    size = len(rows) + 2 * QUIET
    path = "".join(_bars(row, at + QUIET) for at, row in enumerate(rows))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" width="{width_px}" height="{width_px}" '
        f'role="img" aria-label="{escape(label)}" shape-rendering="crispEdges">'
        f'<rect width="{size}" height="{size}" fill="#fff"/><path fill="#000" d="{path}"/></svg>'
    )


def _bars(row: bytes, y: int) -> str:
    """Runs of dark modules of one row, each a bar one module high."""
    drawn, x = [], QUIET
    for dark, run in groupby(row):
        width = len(list(run))
        if dark:
            drawn.append(f"M{x} {y}h{width}v1h-{width}z")
        x += width
    return "".join(drawn)
