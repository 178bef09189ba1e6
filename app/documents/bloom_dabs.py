"""The colors of a bloom as a small round dab beside its words; light ones keep a line around them."""

from collections.abc import Sequence

from app.documents.sheet_view import INK

ACROSS = 18.0  # px


def dab_svg(hexes: Sequence[str], across: float = ACROSS) -> str:
    """A dab of one color, or parted upright for several; nothing where no color is known. The words stand beside it."""
    if not hexes:
        return ""
    half, wide = across / 2, (across - 2) / len(hexes)
    name = "dab-" + "-".join(color.removeprefix("#") for color in hexes)
    parts = "".join(
        f'<rect x="{1 + place * wide:.2f}" y="1" width="{wide + 0.1:.2f}" height="{across - 2:g}" fill="{color}"/>'
        for place, color in enumerate(hexes)
    )
    ring = f'cx="{half:g}" cy="{half:g}" r="{half - 1:g}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bloom-dab" viewBox="0 0 {across:g} {across:g}" '
        f'width="{across:g}" height="{across:g}" aria-hidden="true"><clipPath id="{name}"><circle {ring}/></clipPath>'
        f'<g clip-path="url(#{name})">{parts}</g><circle {ring} fill="none" stroke="{INK}" stroke-width="1"/></svg>'
    )
