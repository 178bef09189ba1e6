"""How high the plants of a band grow, in the words of a bed's chart."""

from itertools import pairwise

from app.domain.plant import BANDS, band_names
from app.domain.units import System

_METER = 3.280840  # ft


def band_words(band: str, system: System = "feet") -> str:
    """How high the plants of a band grow, in words. Raises: KeyError for a band that is none.

    >>> band_words("middle"), band_words("high"), band_words("ground", "metric")
    ('2 to 4 ft', 'over 8 ft', 'to 0.3 m')
    """
    bounds = [f"{below:g}" if system == "feet" else f"{below / _METER:.1f}" for _, below in BANDS]
    unit = "ft" if system == "feet" else "m"
    words = [f"to {bounds[0]}", *(f"{low} to {high}" for low, high in pairwise(bounds)), f"over {bounds[-1]}"]
    return {name: f"{said} {unit}" for name, said in zip(band_names(), words, strict=True)}[band]
