"""What is seen: finishes and where they lie, colors, and what goes together."""

from app.domain.palette.finishes import MULCH, PLANTED, Swatch, finishes_named, palette

__all__ = ["MULCH", "PLANTED", "Swatch", "finishes_named", "palette"]
