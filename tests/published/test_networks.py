"""Networks of activities against printed examples."""

import pytest

from app.domain.schedule.axis import Even
from app.domain.schedule.network import Activity, Link, Network, critical_path
from app.domain.schedule.three_point import Days, Finish, along

# slideplayer.com/slide/3283910, the links read from the paths it lists: days, what it waits for, ES EF LS LF float
EIGHT = {
    "A": (4, "", 0, 4, 0, 4, 0),
    "B": (3, "A", 4, 7, 7, 10, 3),
    "C": (5, "A", 4, 9, 4, 9, 0),
    "D": (2, "A", 4, 6, 7, 9, 3),
    "E": (5, "BC", 9, 14, 10, 15, 1),
    "F": (6, "CD", 9, 15, 9, 15, 0),
    "G": (4, "EF", 15, 19, 15, 19, 0),
    "H": (3, "G", 19, 22, 19, 22, 0),
}
# pmknowledgecenter.be, "Program Evaluation and Review Technique": low, likely, high; what it waits for
SIX = {
    "A": ((2, 5, 8), ""),
    "B": ((1, 2, 9), "A"),
    "C": ((0.25, 0.5, 3.75), "A"),
    "D": ((1, 1, 7), "B"),
    "E": ((1, 2, 9), "BC"),
    "F": ((1, 3, 11), "DE"),
}
# wizedu.com question 717873, every figure printed there twice; floats, deviation and chance worked out from them
FOURTEEN = {
    "A": ((5, 5, 7), ""),
    "B": ((1, 2, 5), ""),
    "C": ((5, 5, 5), "A"),
    "D": ((4, 8, 13), "A"),
    "E": ((1, 10, 17), "BC"),
    "F": ((1, 5, 7), "D"),
    "G": ((2, 6, 9), "D"),
    "H": ((4, 4, 6), "EF"),
    "I": ((2, 7, 10), "GH"),
    "J": ((2, 4, 7), "I"),
    "K": ((6, 10, 13), "I"),
    "L": ((2, 6, 6), "J"),
    "M": ((2, 2, 3), "K"),
    "N": ((7, 7, 12), "LM"),
}
# coursehero.com/file/6151556, project scheduling by PERT: an arrow network, each arrow by its two events
ARROWS = {
    (1, 2): (2, 5, 8),
    (1, 3): (1, 4, 7),
    (2, 3): (0, 0, 0),
    (2, 4): (2, 4, 6),
    (2, 6): (5, 7, 12),
    (3, 4): (3, 5, 10),
    (3, 5): (3, 6, 9),
    (4, 5): (4, 6, 10),
    (4, 6): (2, 5, 8),
    (5, 6): (2, 4, 6),
}


def solved(days, waits):
    network = Network(
        [Activity(key=key, days=one) for key, one in days.items()],
        [Link(before=before, after=after) for after, befores in waits.items() for before in befores],
    )
    return critical_path(network, Even())


def spread(table):
    each = {key: Days(*days) for key, (days, _) in table.items()}
    moments = solved({key: one.mean for key, one in each.items()}, {key: waits for key, (_, waits) in table.items()})
    path = [key for key, one in moments.items() if one.critical]
    return moments, path, along(path, each)


@pytest.mark.parametrize("key", EIGHT)
def test_eight_activities_by_the_table(key):
    moments = solved({one: row[0] for one, row in EIGHT.items()}, {one: row[1] for one, row in EIGHT.items()})
    assert moments[key][:5] == pytest.approx(EIGHT[key][2:])


def test_six_activities_with_three_points():
    moments, path, finish = spread(SIX)
    assert "".join(path) == "ABEF"
    assert moments["F"].finish == pytest.approx(15)
    assert (finish.mean, round(finish.apart**2, 3), round(finish.apart, 3)) == (pytest.approx(15), 7.333, 2.708)


def test_fourteen_activities_with_three_points():
    moments, path, finish = spread(FOURTEEN)
    assert "".join(path) == "ACEHIKMN"
    assert round(moments["N"].finish, 3) == round(finish.mean, 3) == 50.833
    assert (round(finish.apart**2, 3), round(finish.apart, 3), round(finish.chance(55), 3)) == (11.194, 3.346, 0.893)
    floats = {"B": 8, "D": 1.833, "F": 1.833, "G": 5, "J": 2.5, "L": 2.5}
    assert {key: round(moments[key].total, 3) for key in floats} == pytest.approx(floats)


def test_an_arrow_network_with_a_dummy():
    each = {f"{a}-{b}": Days(*days) for (a, b), days in ARROWS.items()}
    waits = {f"{a}-{b}": [f"{c}-{d}" for c, d in ARROWS if d == a] for a, b in ARROWS}
    moments = solved({key: one.mean for key, one in each.items()}, waits)
    path = [key for key, one in moments.items() if one.critical]
    assert path == ["1-2", "2-3", "3-4", "4-5", "5-6"]
    finish = along(path, each)
    assert (round(finish.mean, 2), round(finish.apart**2, 2)) == (20.83, 3.81)


def test_chances_of_being_done_by_a_day():
    # curioustab.com 64878; studyxapp.com 413234033; questionai.com, 60 activities
    assert round(Finish(17, 3, 3).chance(20), 4) == 0.8413
    assert round(Finish(26, 4.11**0.5, 4).chance(25), 3) == 0.311
    assert round(Finish(26, 4.11**0.5, 4).chance(30), 3) == pytest.approx(0.975, abs=0.002)  # printed from a table
    assert round(1 - Finish(214, 10, 10).chance(224), 4) == 0.1587
