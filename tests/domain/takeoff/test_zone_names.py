"""A zone is named once in a sentence, whatever its title says."""

from uuid import uuid4

import pytest

from app.domain.job import Zone
from app.domain.takeoff.measures import zone_title


@pytest.mark.parametrize(
    ("letter", "title", "said"),
    [
        ("B", "Dining terrace", "Zone B, Dining terrace"),
        ("C", "Reading terrace zone", "C, Reading terrace zone"),
        ("D", "Zone D", "Zone D"),
        ("E", "", "Zone E"),
        ("F", "Zoned bed", "Zone F, Zoned bed"),
    ],
)
def test_zone_is_named_once(letter: str, title: str, said: str) -> None:
    assert zone_title(Zone(id=uuid4(), letter=letter, title=title)) == said
