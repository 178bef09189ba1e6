"""What stands shades sides and tops: held against rays toward the sun, point by point."""

import random
from math import radians, tan

import shapely

from app.domain.seen.bodies import box_around
from app.domain.seen.cast import Cast, Side
from app.domain.seen.solids import Solid
from app.domain.seen.sunlight import Sun, toward


def is_shaded(point: tuple[float, float, float], solids: list[Solid], sun: Sun) -> bool:
    """Whether a ray from a point toward the sun goes through one of the bodies: cut by the planes of its faces."""
    x, y = toward(sun, 0.0)
    rise = tan(radians(sun.altitude))
    for one in solids:
        near, far = 1e-6, 1e9
        planes = [(0.0, 0.0, 1.0, one.top), (0.0, 0.0, -1.0, -one.bottom)]
        for place, (ax, ay) in enumerate(one.base):
            bx, by = one.base[(place + 1) % len(one.base)]
            planes.append((by - ay, ax - bx, 0.0, (by - ay) * ax + (ax - bx) * ay))
        for a, b, c, most in planes:
            speed, off = a * x + b * y + c * rise, most - (a * point[0] + b * point[1] + c * point[2])
            if abs(speed) < 1e-12:
                near = 2e9 if off < 0 else near
            elif speed > 0:
                far = min(far, off / speed)
            else:
                near = max(near, off / speed)
        if far - near > 1e-6:
            return True
    return False


def yard(by: random.Random) -> list[Solid]:
    """Bodies of several sizes, some in the air, turned anyhow, around a wall along y = 0."""
    found = []
    for place in range(9):
        at = (by.uniform(-12, 12), by.uniform(-9, 9))
        low = by.choice((0.0, 0.0, 3.0))
        base = box_around(at, by.uniform(0.5, 5), by.uniform(0.5, 5), by.uniform(0, 90))
        found.append(Solid(f"body {place}", base, low, low + by.uniform(1, 9), "#000000"))
    return found


def test_shade_on_sides_and_tops_is_what_rays_say() -> None:
    by, looked, shaded = random.Random(9), 0, 0
    for _ in range(12):
        solids, sun = yard(by), Sun(by.uniform(100, 260), by.uniform(15, 70))
        cast, side = Cast(solids, sun, 0.0), Side((-10.0, 0.0), (10.0, 0.0), 0.5, 6.0)  # looks south
        table = ((-10.0, -6.0), (10.0, -6.0), (10.0, -2.0), (-10.0, -2.0))
        faces = ((cast.on_side(side), False), (cast.on_top(table, 2.0), True))
        for shade, level in faces:
            for _ in range(60):
                u, v = by.uniform(0.1, 19.9), by.uniform(0.6, 5.9) if not level else by.uniform(-5.9, -2.1)
                told = (u - 10.0, v) if level else (u, v)
                point = (told[0], told[1], 2.0) if level else (u - 10.0, 0.0, v)
                if shade is not None and shade.boundary.distance(shapely.points(told)) < 1e-3:
                    continue  # at the very rim either answer is right
                inside = shade is not None and bool(shade.contains(shapely.points(told)))
                assert inside == is_shaded(point, solids, sun), (point, sun)
                looked, shaded = looked + 1, shaded + inside
    assert looked > 1_000
    assert 0.1 < shaded / looked < 0.9, "both are met"


def test_side_that_looks_away_and_one_at_night_have_no_shade_of_their_own() -> None:
    post = Solid("post", box_around((0.0, -4.0), 1.0, 1.0, 0.0), 0.0, 8.0, "#000000")
    south, north = Side((-5.0, 0.0), (5.0, 0.0), 0.0, 8.0), Side((5.0, 0.0), (-5.0, 0.0), 0.0, 8.0)
    noon = Cast([post], Sun(180.0, 45.0), 0.0)
    assert noon.on_side(south) is not None
    assert noon.on_side(north) is None
    assert Cast([post], Sun(180.0, 1.0), 0.0).on_side(south) is None
    assert Cast([], Sun(180.0, 45.0), 0.0).on_top(post.base, 0.0) is None
