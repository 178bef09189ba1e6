"""What the sun does on a surface, told from its color: glare, and about how hot it becomes.

Honest within its means: light that nobody sees is half of the sun's heat, and color does not tell it.
"""

from app.domain.palette.color import Lab, reflectance

EMITTANCE = 0.9  # of stone, concrete, brick and wood, wet or dry. Source: ASTM E1980, usual of building surfaces
CONVECTION = 12.0  # W/m²K: medium wind. Source: ASTM E1980


def reflectance_index(reflected: float, emittance: float = EMITTANCE) -> float:
    """Solar reflectance index: a standard black (0.05) is 0, a standard white (0.80) is 100, within 1.

    `reflected` is the share of the sun's heat that is given back, 0 to 1.
    Source: ASTM E1980, equations for medium wind (constants from memory, held by the two standards they define).
    >>> round(reflectance_index(0.05)), round(reflectance_index(0.80))
    (0, 99)
    """
    heat = (1 - reflected - 0.029 * emittance) * (8.797 + CONVECTION) / (9.5205 * emittance + CONVECTION)
    return 123.97 - 141.35 * heat + 9.655 * heat * heat


def index_from_color(lab: Lab) -> float:
    """About which index a surface has, were all of the sun's heat given back as its light is. Assumption."""
    return reflectance_index(reflectance(lab))
