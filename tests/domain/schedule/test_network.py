"""Networks on real days: links, cure over a weekend, weather, crews, and what must hold for any of them."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.schedule.axis import Dated, Even, WorkingDays
from app.domain.schedule.crews import with_crews
from app.domain.schedule.network import Activity, Link, LinkKind, LinksGoRound, Network, critical_path

MONDAY = date(2027, 6, 7)
PLAIN = Dated(MONDAY, WorkingDays(), reach=400)
WET = Dated(MONDAY, WorkingDays(lost=dict.fromkeys(range(1, 13), 4.5)), reach=900)


def test_activities_that_wait_for_one_another_are_named_in_their_ring():
    ring = [Link(before="dig", after="pour"), Link(before="pour", after="form"), Link(before="form", after="dig")]
    with pytest.raises(LinksGoRound, match="wait for one another") as told:
        Network([Activity(key=key, title=key.title()) for key in ("dig", "pour", "form")], ring)
    assert set(told.value.titles) == {"Dig", "Pour", "Form"}


def test_a_link_to_nothing_is_refused():
    with pytest.raises(BadValue, match="does not exist"):
        Network([Activity(key="dig")], [Link(before="dig", after="dance")])


def test_links_by_kind():
    first, second = Activity(key="a", days=4), Activity(key="b", days=2)

    def start_of(kind, lag):
        return critical_path(Network([first, second], [Link(before="a", after="b", kind=kind, lag=lag)]), Even())[
            "b"
        ].start

    assert start_of(LinkKind.FINISH_START, 1) == 5
    assert start_of(LinkKind.START_START, 1) == 1
    assert start_of(LinkKind.FINISH_FINISH, 1) == 3  # ends a day after the first ends


def test_cure_goes_on_over_the_weekend_and_work_does_not():
    pour, lay = Activity(key="pour", days=1), Activity(key="lay", days=3)
    cured = critical_path(Network([pour, lay], [Link(before="pour", after="lay", lag=7, cures=True)]), PLAIN)
    # poured Monday the 7th; seven full days after that evening is Monday the 14th: laid from Tuesday the 15th
    assert PLAIN.start_date(cured["lay"].start) == date(2027, 6, 15)
    assert PLAIN.finish_date(cured["lay"].finish) == date(2027, 6, 17)
    worked = critical_path(Network([pour, lay], [Link(before="pour", after="lay", lag=7)]), PLAIN)
    assert PLAIN.start_date(worked["lay"].start) == date(2027, 6, 17)


def test_closed_days_are_left_out():
    axis = Dated(date(2027, 7, 2), WorkingDays(closed=frozenset({date(2027, 7, 5)})), reach=20)
    assert [axis.start_date(at) for at in (0, 1)] == [date(2027, 7, 2), date(2027, 7, 6)]
    assert axis.finish_date(2) == date(2027, 7, 6)


def test_weather_takes_its_days_from_work_outdoors_only():
    # June 2027 has 22 working days: 11 lost leave half a day of each
    axis = Dated(MONDAY, WorkingDays(lost={6: 11}), reach=60)
    assert axis.done(0, 4, outdoors=True) == pytest.approx(8)
    assert axis.done(0, 4, outdoors=False) == 4
    assert axis.begun(8, 4, outdoors=True) == pytest.approx(0)


def test_no_working_day_is_refused():
    with pytest.raises(BadValue, match="at least one"):
        Dated(MONDAY, WorkingDays(weekdays=frozenset()), reach=5)
    every = frozenset(MONDAY + timedelta(days=n) for n in range(6000))
    with pytest.raises(BadValue, match="too many are closed"):
        Dated(MONDAY, WorkingDays(closed=every), reach=5)


def test_one_crew_is_in_one_place():
    activities = [Activity(key=key, days=days, crew="crew") for key, days in (("a", 3), ("b", 2), ("c", 3))]
    other = Activity(key="d", days=2, crew="electrician")
    network = Network([*activities, other], [Link(before="a", after="c")])
    placed = with_crews(network, Even(), critical_path(network, Even()), {"crew": 1})
    assert placed == {"a": (0, 3), "b": (6, 8), "c": (3, 6), "d": (0, 2)}
    two = with_crews(network, Even(), critical_path(network, Even()), {"crew": 2})
    assert max(finish for _, finish in two.values()) == 6


days_of = st.integers(0, 12).map(lambda n: n / 4)


@st.composite
def networks(draw):
    count = draw(st.integers(1, 12))
    crews = st.sampled_from(["crew", "masons", ""])
    activities = [
        Activity(key=str(n), days=draw(days_of), crew=draw(crews), outdoors=draw(st.booleans())) for n in range(count)
    ]
    pairs = draw(st.lists(st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)), max_size=20))
    links = [
        Link(
            before=str(min(pair)),
            after=str(max(pair)),
            kind=draw(st.sampled_from(list(LinkKind))),
            lag=draw(st.integers(0, 5)),
            cures=draw(st.booleans()),
        )
        for pair in pairs
        if pair[0] != pair[1]
    ]
    return Network(activities, links)


axes = st.sampled_from([Even(), PLAIN, WET])


@given(networks(), axes)
def test_no_link_is_broken_and_no_float_is_below_nothing(network, axis):
    moments = critical_path(network, axis)
    kept_by(network, axis, {key: (one.start, one.finish) for key, one in moments.items()})
    kept_by(network, axis, {key: (one.late_start, one.late_finish) for key, one in moments.items()})
    end = max(one.finish for one in moments.values())
    assert any(one.finish == end and one.critical for one in moments.values())
    for one in moments.values():
        assert one.total >= -1e-6
        assert -1e-6 <= one.free <= one.total + 1e-6 or isinstance(axis, Dated)


@given(networks(), axes, st.integers(1, 3))
def test_crews_are_never_asked_for_twice_and_no_link_is_broken(network, axis, most):
    moments = critical_path(network, axis)
    crews = {"crew": 1, "masons": most}
    placed = with_crews(network, axis, moments, crews)
    assert set(placed) == set(network.activities)
    kept_by(network, axis, placed)
    for crew, have in crews.items():
        spans = [placed[key] for key, one in network.activities.items() if one.crew == crew and one.days > 0]
        for start, _ in spans:
            assert sum(1 for s, f in spans if s <= start + 1e-6 and f > start + 1e-6) <= have
    assert max(f for _, f in placed.values()) >= max(one.finish for one in moments.values()) - 1e-6


@given(networks())
def test_enough_crews_change_nothing(network):
    moments = critical_path(network, Even())
    placed = with_crews(network, Even(), moments, {"crew": 50, "masons": 50})
    assert {key: span[0] for key, span in placed.items()} == {key: one.start for key, one in moments.items()}


def kept_by(network, axis, spans):
    for links in network.wait.values():
        for link in links:
            began, ended = spans[link.before]
            moment = began if link.kind is LinkKind.START_START else ended
            over = axis.waited(moment, link.lag) if link.cures else moment + link.lag
            starts, ends = spans[link.after]
            assert (ends if link.kind is LinkKind.FINISH_FINISH else starts) >= over - 1e-6
