"""The switch by itself: when it ends, what it says, and that a long sharing gets its new certificate. On loopback only."""

import asyncio
import ssl
from collections.abc import Awaitable, Callable, Iterator
from datetime import datetime, timedelta

import pytest

from app.domain.sharing import IDLE, PATIENCE, SERVER_LASTS, TRUST_STEP, Ended, Network, Over, Plain, Share
from app.main import create_app
from app.services import networks
from app.services.office import Office
from app.services.share_page import share_page
from app.services.sharing import shared_name
from app.web import sharing as switch
from app.web.sharing import Sharing
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent

LOOP = Network(interface="test0", address="127.0.0.1")


class Clock:
    """Stands still until it is moved; begins at the real time, which certificates are held against."""

    def __init__(self) -> None:
        self.now = datetime.now().astimezone()

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock(office: Office) -> Clock:
    office.clock = Clock()
    return office.clock


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Network]]:
    """The networks of this machine: one, on loopback; nothing is announced."""
    here = [LOOP]
    monkeypatch.setattr(networks, "networks", lambda: tuple(here))

    async def unannounced(_share: object) -> tuple[None, str]:
        return None, ""

    monkeypatch.setattr(switch, "announce", unannounced)
    return here


def shared(office: Office, doing: Callable[[Sharing], Awaitable[None]]) -> Sharing:
    """Begin sharing, do something, end it; the switch as it stood before the end."""
    sharing: Sharing = create_app(office).state.sharing

    async def run() -> None:
        await sharing.begin()
        try:
            await doing(sharing)
        finally:
            ended = sharing.ended
            await sharing.end(Ended.QUIT)
            sharing.ended = ended or sharing.ended

    asyncio.run(run())
    return sharing


def said(office: Office, sharing: Sharing) -> str:
    return share_page(office, sharing.share, sharing.ended, sharing.ended_at).ended


@pytest.mark.usefixtures("found")
def test_twelve_hours_without_a_paired_device_end_it(office: Office, clock: Clock) -> None:
    async def wait(sharing: Sharing) -> None:
        clock.now += IDLE - timedelta(seconds=1)
        await sharing.look()
        assert sharing.share is not None
        sharing.heard("192.168.43.50", paired=True)
        clock.now += IDLE - timedelta(seconds=1)
        await sharing.look()
        assert sharing.share is not None
        clock.now += timedelta(seconds=1)
        await sharing.look()
        assert sharing.share is None

    sharing = shared(office, wait)
    assert sharing.ended is Ended.IDLE
    assert "no other device had asked for twelve hours" in said(office, sharing)


def test_a_network_that_is_left_ends_it(office: Office, found: list[Network]) -> None:
    async def leave(sharing: Sharing) -> None:
        found.clear()
        await sharing.look()
        assert sharing.share is None

    sharing = shared(office, leave)
    assert "left the network" in said(office, sharing)


@pytest.mark.usefixtures("found")
def test_the_trust_step_closes_by_itself_and_the_sharing_goes_on(office: Office, clock: Clock) -> None:
    async def wait(sharing: Sharing) -> None:
        await sharing.open_plain(Plain.TRUST)
        assert not networks.is_free(LOOP.address, sharing.share.called.plain_port)
        clock.now += TRUST_STEP
        await sharing.look()
        assert sharing.share.plain is Plain.CLOSED
        assert networks.is_free(LOOP.address, sharing.share.called.plain_port)

    shared(office, wait)


@pytest.mark.usefixtures("found")
def test_a_long_sharing_shows_a_new_certificate_before_the_old_one_ends(office: Office, clock: Clock) -> None:
    async def wait(sharing: Sharing) -> None:
        async def shown() -> str:
            called = sharing.share.called
            return await asyncio.to_thread(ssl.get_server_certificate, (LOOP.address, called.secure_port))

        before = await shown()
        for _ in range(2):
            clock.now += SERVER_LASTS / 3
            sharing.heard("192.168.43.50", paired=True)
            await sharing.look()
        assert await shown() != before

    shared(office, wait)


@pytest.mark.usefixtures("found")
def test_a_clock_set_back_does_not_keep_it_open(office: Office, clock: Clock) -> None:
    async def wait(sharing: Sharing) -> None:
        clock.now -= timedelta(days=2)
        await sharing.look()
        clock.now += IDLE
        await sharing.look()
        assert sharing.share is None

    shared(office, wait)


@pytest.mark.usefixtures("found")
def test_an_address_that_a_device_would_not_trust_is_said(office: Office) -> None:
    """Loopback is none of the networks that the authority may sign for, so this laptop's own knock is refused."""

    async def look(sharing: Sharing) -> None:
        assert "does not reach its own shared address" in sharing.fault

    shared(office, look)


@pytest.mark.usefixtures("found")
def test_a_port_that_is_taken_is_a_sentence_and_nothing_is_shared(office: Office) -> None:
    async def begin(sharing: Sharing) -> None:
        port = sharing.share.called.secure_port
        await sharing.end(Ended.SWITCH)
        other = networks.listening_on(LOOP.address, port)
        other.listen()
        with pytest.raises(Exception, match="cannot be opened"):
            await sharing.begin()
        assert sharing.share is None
        other.close()

    shared(office, begin)


@pytest.mark.usefixtures("found")
def test_over_the_network_the_switch_is_only_read(office: Office) -> None:
    device = paired(office, Over.SECURE)
    assert "only be read" in device.get("/firm/share").text
    refused = sent(device, office, "/firm/share/off")
    assert refused.status_code == 409
    assert "on the laptop itself" in refused.text
    assert device.app.app.state.sharing.share is not None


def test_the_page_says_how_to_begin_where_there_is_no_network(web: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(networks, "networks", lambda: ())
    assert "on no network that a tablet could join" in web.get("/firm/share").text
    refused = web.post("/firm/share/on", {"interface": ""})
    assert refused.status_code == 422
    assert web.get("/trust/authority.crt").status_code == 404


@pytest.mark.usefixtures("found")
def test_a_network_that_keeps_devices_apart_is_said_with_what_to_do(office: Office, clock: Clock) -> None:
    """Nobody comes through for two minutes: the page says so plainly, until somebody does."""
    web = Browser(office)
    sharing = web.client.app.state.sharing
    sharing.share = Share(network=LOOP, called=shared_name(office), since=clock(), last_asked=clock())
    assert "it is said here" in web.get("/firm/share").text
    clock.now += PATIENCE
    page = web.get("/firm/share").text
    assert "keeps its devices apart" in page
    assert "hotspot" in page
    sharing.heard(LOOP.address, paired=False)  # this laptop itself is nobody
    assert "keeps its devices apart" in web.get("/firm/share").text
    sharing.heard("192.168.43.50", paired=False)
    assert "lets devices see one another" in web.get("/firm/share").text


def test_who_comes_after_the_end_does_not_put_it_off(office: Office) -> None:
    device = paired(office, Over.SECURE)
    sharing = device.app.app.state.sharing
    assert device.get("/firm").status_code == 200
    before = sharing.share.last_asked
    later = before + IDLE
    office.clock = lambda: later
    assert device.get("/firm").status_code == 503
    assert sharing.share.last_asked == before
