"""Names, networks and ends of sharing."""

from datetime import UTC, datetime, timedelta

import pytest

from app.domain.sharing import (
    IDLE,
    PATIENCE,
    TRUST_STEP,
    Network,
    Over,
    Plain,
    Share,
    SharedName,
    can_be_shared_on,
    is_idle,
    is_unheard,
    label_of,
    trust_step_is_over,
)

AT = datetime(2027, 3, 9, 15, 0, tzinfo=UTC)
SHARE = Share(
    network=Network(interface="wlan0", address="192.168.43.7"),
    called=SharedName(name="brackenfold.local", secure_port=8138, plain_port=8139),
    since=AT,
    last_asked=AT,
)


def test_exactly_the_shared_names_are_ours() -> None:
    assert SHARE.hosts(Over.SECURE) == {"brackenfold.local:8138", "192.168.43.7:8138"}
    assert SHARE.hosts(Over.PLAIN) == {"brackenfold.local:8139", "192.168.43.7:8139"}
    assert SHARE.hosts(Over.HERE) == frozenset()


def test_sharing_ends_after_twelve_hours_without_another_device() -> None:
    assert timedelta(hours=12) == IDLE
    assert not is_idle(SHARE, AT + IDLE - timedelta(seconds=1))
    assert is_idle(SHARE, AT + IDLE)


def test_nobody_heard_is_said_after_a_while() -> None:
    assert not is_unheard(SHARE, AT + PATIENCE - timedelta(seconds=1))
    assert is_unheard(SHARE, AT + PATIENCE)


def test_the_door_of_the_trust_step_closes_by_itself() -> None:
    from dataclasses import replace

    opened = replace(SHARE, plain=Plain.TRUST, plain_since=AT)
    assert not trust_step_is_over(opened, AT + TRUST_STEP - timedelta(seconds=1))
    assert trust_step_is_over(opened, AT + TRUST_STEP)
    assert not trust_step_is_over(replace(opened, plain=Plain.READING), AT + TRUST_STEP)


@pytest.mark.parametrize(
    ("interface", "address", "may"),
    [("wlan0", "172.20.10.2", True), ("eth0", "203.0.113.7", False), ("docker0", "172.17.0.1", False),
     ("lo", "127.0.0.1", False), ("enp3s0", "169.254.8.9", True)],
)  # fmt: skip
def test_only_local_networks_are_shared_on(interface: str, address: str, may: bool) -> None:
    assert can_be_shared_on(Network(interface=interface, address=address)) is may


@pytest.mark.parametrize("name", ["", "!!!", "A", "Brackenfold Yards", "x" * 90, "9 Mill Race"])
def test_a_label_is_one_that_dns_takes(name: str) -> None:
    import re

    assert re.fullmatch(r"[a-z0-9]{2,24}", label_of(name))
