"""How decided edges are drawn: steps as wide as they are, at the door or in the middle of their stretch."""

import re
from dataclasses import replace
from math import hypot

import pytest

from app.documents.plan_drawing import plan_svg
from app.domain.job import EdgeChoice, Opening
from app.domain.plan import rectangle
from app.domain.plan.edges import part_around
from tests.plans.yards import basis, empty, site, with_edge, with_zone

RUNGS = re.compile(r'<path d="M([^"]+)"[^>]*stroke-dasharray="1\.4 [^"]*"')


def rungs(job) -> tuple[float, tuple[float, float]]:
    """How long the line of a flight's rungs is drawn, and its middle [px]."""
    (path,) = RUNGS.findall(plan_svg(job, basis(), width_px=900, height_px=700))
    points = [tuple(float(one) for one in pair.replace(",", " ").split()) for pair in re.split("L", path.strip("Z "))]
    (ax, ay), (bx, by) = points[0], points[-1]
    return hypot(bx - ax, by - ay), ((ax + bx) / 2, (ay + by) / 2)


def stepped(width: str, *doors: Opening):
    job = with_zone(site(empty(), openings=doors), "A", rectangle(20, 12, at=(0, 20)), level=0.0)
    job = with_edge(job, "A", "house", "steps-at-edge", choice=EdgeChoice.BUILT, drop=None if doors else 1.0)
    return replace(job, works=(replace(job.works[-1], parameters={"width": width}),))


@pytest.mark.parametrize(("width", "share"), [("length", 1.0), ("10*foot", 0.5), ("4*foot", 0.2)])
def test_steps_are_drawn_as_wide_as_they_are(width: str, share: float) -> None:
    whole, _ = rungs(stepped("length"))
    assert rungs(stepped(width))[0] == pytest.approx(whole * share, abs=0.5)


def test_steps_at_a_door_are_drawn_at_the_door() -> None:
    door = Opening(title="Kitchen door", x=4.0, y=20.0, width=3.0, level=1.0)
    long, (x, y) = rungs(stepped("4*foot", door))
    _, (middle, level) = rungs(stepped("4*foot"))
    assert y == pytest.approx(level, abs=0.5)
    assert middle - x == pytest.approx(6 / 4 * long, abs=0.5)  # 6 ft west of the middle of 20 ft


@pytest.mark.parametrize(
    ("at", "width", "part"),
    [
        ((5, 0), 4, ((3, 0), (7, 0))),
        ((0, 0), 4, ((0, 0), (4, 0))),
        ((99, 0), 4, ((6, 0), (10, 0))),
        ((5, 3), 40, ((0, 0), (10, 0))),
    ],
)
def test_part_of_a_path_stays_on_it(at, width, part) -> None:
    assert part_around([(0, 0), (10, 0)], at, width) == part
