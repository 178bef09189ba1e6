"""What kinds there are of the things of a job: the closed lists that pages, rows and files share."""

from collections.abc import Mapping
from enum import StrEnum


class Stage(StrEnum):
    """Where a job stands."""

    LEAD = "lead"
    DESIGN = "design"
    OFFERED = "offered"
    SIGNED = "signed"
    BUILDING = "building"
    DONE = "done"
    LOST = "lost"


class ZoneKind(StrEnum):
    """What a zone is for."""

    FIRE = "fire"
    WATER = "water"
    COOKING = "cooking"
    DINING = "dining"
    LOUNGING = "lounging"
    PLANTING = "planting"
    LAWN = "lawn"
    PATH = "path"
    STEPS = "steps"
    PLAY = "play"
    SERVICE = "service"
    OTHER = "other"


class RunKind(StrEnum):
    """What is built along a line. The kinds that a surface can bury are also kinds of `under(kind)`."""

    WALL = "wall"
    EDGING = "edging"
    FENCE = "fence"
    CONDUIT = "conduit"
    PIPE = "pipe"
    DRAIN = "drain"
    GAS = "gas"
    OTHER = "other"


class Fate(StrEnum):
    """What happens to a thing that stands in the yard today."""

    STAYS = "stays"
    PROTECTED = "protected"
    GOES = "goes"
    MOVES = "moves"


class Answer(StrEnum):
    """Answer to a question about the site."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "not known"


class Measured(StrEnum):
    """How well a measure is known: a sketch widens the range."""

    SKETCH = "sketch"
    TAPED = "taped"


class PriceShown(StrEnum):
    """How far the proposal breaks the price down."""

    WHOLE = "whole"
    PHASE = "phase"
    ZONE = "zone"
    LINE = "line"


class Firmness(StrEnum):
    """How the price of a later phase holds."""

    FIRM = "firm"
    RISE = "rise"
    RANGE = "range"


class Covers(StrEnum):
    """What the money of an allowance is for."""

    BUILT = "built"  # bought, brought and put in place
    BOUGHT = "bought"  # bought and brought; putting it in place is in the price beside it


class PlaceKind(StrEnum):
    """What a work is done on."""

    ALTERNATIVE = "alternative"  # of a zone
    RUN = "run"
    FEATURE = "feature"
    EDGE = "edge"
    EXISTING = "existing"
    JOB = "job"


class EdgeChoice(StrEnum):
    """Whether a shared edge is decided, and how."""

    OPEN = "open"
    NOTHING = "nothing"
    BUILT = "built"  # by the works placed on the edge


class Reply(StrEnum):
    """How a job answers a reminder that nothing of it prices."""

    NOT_NEEDED = "not needed"
    BY_CLIENT = "by client"


PRIVATE_LINES: Mapping[str, str] = {
    "gas": "Gas line to a grill, heater or fire",
    "pool": "Pool piping or wiring",
    "septic": "Septic tank or field",
    "well": "Well and its line",
    "sprinklers": "Sprinklers",
    "dog-fence": "Buried dog fence",
    "yard-lights": "Yard lights",
    "outbuilding": "Feed to a detached building",
    "roof-drains": "Roof drains below ground",
    "footings": "Old footings or walls",
}


SPRINKLERS = "sprinklers"  # a private line, and a kind of thing that is there: a head at a point, or several
VALVE = "valve"  # kind of a sprinkler valve, which heads hang on
HEADS: Mapping[str, str] = {
    "spray": "Spray",
    "stream": "Rotating streams",
    "rotor": "Rotor",
    "impact": "Impact",
    "bubbler": "Bubbler",
}
OVERHEAD = "overhead"  # kind of a wire above the yard: its `height` is that of its lowest point, nothing is dug for it
EXISTING_KINDS: Mapping[str, str] = {
    "concrete": "Concrete slab or walk",
    "pavers": "Pavers",
    "deck": "Deck",
    "wall": "Wall",
    "fence": "Fence",
    "turf": "Lawn",
    "bed": "Planting bed",
    "tree": "Tree",
    "stump": "Stump",
    "shrub": "Shrub",
    "sprinklers": "Sprinklers",
    "valve": "Sprinkler valve",
    "structure": "Shed or structure",
    "driveway": "Driveway",
    "overhead": "Overhead line",
    "other": "Something else",
}

# What towns and deeds keep off lot lines and out of easements, by kind of thing.
LOT_SIDES: Mapping[str, str] = {"front": "Front", "side": "Side", "rear": "Rear"}
LIMITED: Mapping[str, str] = {
    "structure": "Structures and kitchens",
    "wall": "Walls, columns, boulders",
    "fire": "Fire features",
    "water": "Water and its equipment, hot tubs",
    "hard": "Hard surface, steps",
    "fence": "Fences and gates",
    "tree": "Trees",
}
BUILT = frozenset(LIMITED) - {"fence", "tree"}  # what a setback of "all that is built" speaks of. Common practice

# Utilities by the public marking colors. Source: American Public Works Association, uniform color code (ANSI Z535.1)
UTILITIES: Mapping[str, str] = {
    "electric": "Electric power, lighting",
    "gas": "Gas, oil, steam",
    "communication": "Telephone, cable, signal",
    "water": "Drinking water",
    "reclaimed": "Irrigation, reclaimed water",
    "sewer": "Sewer, drain",
    "survey": "Temporary survey mark",
    "proposed": "Where digging is proposed",
}
