"""The drawn code is, module for module, the one the library makes, with the light around it that a camera wants."""

import re

import segno

from app.documents.qr_codes import QUIET, qr_svg

TEXT = "https://brackenfold.local:8138/pair?code=K7M2-9QXA"


def drawn(svg: str, size: int) -> list[list[int]]:
    """The drawing as squares again: every bar of the path put down on a grid."""
    grid = [[0] * size for _ in range(size)]
    for x, y, width in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", svg):
        for at in range(int(x), int(x) + int(width)):
            grid[int(y)][at] = 1
    return grid


def test_every_module_is_where_the_standard_puts_it() -> None:
    svg = qr_svg(TEXT, "The address")
    rows = [list(row) for row in segno.make(TEXT, error="m", micro=False).matrix_iter(border=QUIET)]
    assert drawn(svg, len(rows)) == rows
    assert f'viewBox="0 0 {len(rows)} {len(rows)}"' in svg


def test_a_label_cannot_break_out_of_the_drawing() -> None:
    assert 'aria-label="&quot;&gt;&lt;b&gt;"' in qr_svg("x", '"><b>')
