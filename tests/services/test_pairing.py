"""Nobody gets in by guessing, by coming late, by coming twice, or without the owner's word."""

from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from app.db.migrate import copy_of
from app.db.repositories import record, record_check
from app.domain.basis import Basis
from app.domain.devices import BACK_AFTER, Face, Showing, shown_by
from app.domain.errors import BadValue, OutlayError, Refused
from app.domain.pairing import ALPHABET, LIVES, OVERALL, PER_ADDRESS, WRONG_BURN, Stands, TooManyTries, as_typed
from app.interchange.words_to_compare import words_to_compare
from app.services import backups, devices, jobs, pairing
from app.services.jobs import Order
from app.services.office import Office, open_office, work_as

TABLET = "192.0.2.40"  # RFC 5737: addresses for examples


class StillClock:
    """Stands still until it is set on."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock(office: Office) -> StillClock:
    still = StillClock(office.clock())
    office.clock = still
    return still


def order() -> Order:
    return Order(change_id=uuid4())


def let_in(office: Office, face: Face = Face.OURS, job_id: UUID | None = None, name: str = "Maren's tablet") -> str:
    """Pair a device; its token."""
    one = pairing.begin(office, face, job_id)
    asked = pairing.ask(office, pairing.code_of(office, one), name, TABLET)
    pairing.allow(office, one.id, "", order())
    return asked.token


def guesses():
    """Codes that are none, each another."""
    for number in count():
        yield "".join(ALPHABET[number // len(ALPHABET) ** place % len(ALPHABET)] for place in range(8))


def test_device_is_in_once_it_typed_the_code_and_the_owner_allowed(office: Office, clock: StillClock) -> None:
    one = pairing.begin(office, Face.FIELD, None)
    code = pairing.code_of(office, one)
    asked = pairing.ask(office, f"{code[:4].lower()} {code[4:]}", "Ada's phone", TABLET)
    assert devices.device_of(office, asked.token) is None, "typing the code alone lets nobody in"
    pairing.allow(office, one.id, "", order())
    device = devices.device_of(office, asked.token)
    assert device is not None
    assert (device.name, device.face, device.paired_at) == ("Ada's phone", Face.FIELD, clock.now)


def test_both_screens_read_the_same_two_words_and_another_pairing_reads_others(office: Office) -> None:
    one = pairing.begin(office, Face.OURS, None)
    asked = pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)
    seen = pairing.asked_by(office, asked.token)
    assert seen is not None
    assert pairing.words_of(office, seen) == pairing.words_of(office, one)
    many = {pairing.words_of(office, pairing.begin(office, Face.OURS, None)) for _ in range(20)}
    assert len(many) > 15
    assert all(first != second for first, second in many)


def test_token_and_code_are_nowhere_in_the_database(office: Office, tmp_path: Path) -> None:
    one = pairing.begin(office, Face.OURS, None)
    code = pairing.code_of(office, one)
    token = pairing.ask(office, code, "Tablet", TABLET).token
    pairing.allow(office, one.id, "", order())
    office.database.close()  # what was only in the log beside it is now in the file
    copy_of(office.database, tmp_path / "copy.db", office.settings.migrations)
    held = (tmp_path / "copy.db").read_bytes()
    held += b"".join(path.read_bytes() for path in office.settings.data.glob("outlay.db*"))
    assert devices.hashed(token).encode() in held
    assert token.encode() not in held
    assert code.encode() not in held
    assert len(token) >= 43, "256 bits in base64"


def test_code_is_dead_after_five_minutes(office: Office, clock: StillClock) -> None:
    one = pairing.begin(office, Face.OURS, None)
    clock.now += LIVES - timedelta(seconds=1)
    pairing.ask(office, pairing.code_of(office, one), "In time", TABLET)
    late = pairing.begin(office, Face.OURS, None)
    clock.now += LIVES
    with pytest.raises(BadValue, match="run out"):
        pairing.ask(office, pairing.code_of(office, late), "Too late", TABLET)


def test_owner_has_five_minutes_to_allow_and_then_nobody_is_in(office: Office, clock: StillClock) -> None:
    one = pairing.begin(office, Face.OURS, None)
    asked = pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)
    clock.now += LIVES
    with pytest.raises(Refused, match="over"):
        pairing.allow(office, one.id, "", order())
    assert devices.device_of(office, asked.token) is None


def test_clock_that_was_set_back_gives_no_code_a_longer_life(office: Office, clock: StillClock) -> None:
    one = pairing.begin(office, Face.OURS, None)
    clock.now -= timedelta(hours=1)
    with pytest.raises(BadValue):
        pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)


def test_code_is_used_once(office: Office) -> None:
    one = pairing.begin(office, Face.OURS, None)
    code = pairing.code_of(office, one)
    first = pairing.ask(office, code, "Tablet", TABLET)
    with pytest.raises(BadValue, match="was used"):
        pairing.ask(office, code, "Listener", "192.0.2.66")
    pairing.allow(office, one.id, "", order())
    with pytest.raises(BadValue, match="was used"):
        pairing.ask(office, code, "Listener", "192.0.2.66")
    assert [each.name for each in devices.every_device(office)] == ["Tablet"]
    assert devices.device_of(office, first.token) is not None


def test_newer_pairing_ends_the_one_before(office: Office) -> None:
    one = pairing.begin(office, Face.OURS, None)
    pairing.begin(office, Face.FIELD, None)
    with pytest.raises(BadValue):
        pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)


def test_five_wrong_codes_burn_the_right_one(office: Office) -> None:
    one = pairing.begin(office, Face.OURS, None)
    for guess, _ in zip(guesses(), range(WRONG_BURN), strict=False):
        with pytest.raises(BadValue):
            pairing.ask(office, guess, "Guesser", "192.0.2.66")
    burned = pairing.newest(office)
    assert burned is not None
    assert burned.stands is Stands.BURNED
    with pytest.raises(BadValue):
        pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)


def test_four_wrong_codes_leave_the_right_one_alive(office: Office) -> None:
    one = pairing.begin(office, Face.OURS, None)
    for guess, _ in zip(guesses(), range(WRONG_BURN - 1), strict=False):
        with pytest.raises(BadValue):
            pairing.ask(office, guess, "Thumbs", TABLET)
    pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)


def test_one_address_is_stopped_before_another_that_has_not_guessed(office: Office, clock: StillClock) -> None:
    for guess, _ in zip(guesses(), range(PER_ADDRESS.most), strict=False):
        with pytest.raises(BadValue):
            pairing.ask(office, guess, "Guesser", "192.0.2.66")
    one = pairing.begin(office, Face.OURS, None)
    with pytest.raises(TooManyTries, match="Wait 15 min"):
        pairing.ask(office, pairing.code_of(office, one), "Guesser", "192.0.2.66")
    pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)
    clock.now += PER_ADDRESS.within
    again = pairing.begin(office, Face.OURS, None)
    pairing.ask(office, pairing.code_of(office, again), "Guesser", "192.0.2.66")


def test_network_of_one_device_counts_as_one_address(office: Office) -> None:
    network = "2001:db8:0:1::"  # RFC 3849: addresses for examples
    for guess, number in zip(guesses(), range(PER_ADDRESS.most), strict=False):
        with pytest.raises(BadValue):
            pairing.ask(office, guess, "Guesser", f"{network}{number + 1:x}")
    with pytest.raises(TooManyTries):
        pairing.ask(office, "ACDEFGHJ", "Guesser", f"{network}ffff")
    with pytest.raises(BadValue):
        pairing.ask(office, "ACDEFGHJ", "Neighbor", "2001:db8:0:2::1")


@pytest.mark.parametrize("from_where", ["one address", "an address a guess"])
def test_a_thousand_guesses_pair_nobody(office: Office, from_where: str) -> None:
    """With a code open all the time, and the owner allowing whoever asks."""
    looked_at = 0
    for guess, number in zip(guesses(), range(1_000), strict=False):
        one = pairing.newest(office)
        if one is None or one.stands is not Stands.OPEN:
            one = pairing.begin(office, Face.OURS, None)
        address = "192.0.2.66" if from_where == "one address" else f"198.51.{number // 250}.{number % 250}"
        try:
            pairing.ask(office, guess, "Guesser", address)
            pairing.allow(office, one.id, "", order())
        except OutlayError as wrong:
            looked_at += not isinstance(wrong, TooManyTries)
    assert devices.every_device(office) == []
    most = PER_ADDRESS.most if from_where == "one address" else OVERALL.most
    hours = 1_000 / 3_600 / (PER_ADDRESS.within.total_seconds() / 3_600)  # the clock of tests steps a second a look
    assert looked_at <= most * (3 * hours + 1)


def test_revoked_device_is_out_at_once_and_stays_out(office: Office) -> None:
    token = let_in(office)
    device = devices.device_of(office, token)
    assert device is not None
    devices.revoke(office, device.id, order())
    assert devices.device_of(office, token) is None
    with pytest.raises(Refused):
        pairing.allow(office, device.id, "", order())
    assert devices.device_of(office, token) is None


@pytest.mark.parametrize("token", ["", "x", "0" * 64])
def test_unknown_token_is_no_device(office: Office, token: str) -> None:
    let_in(office)
    assert devices.device_of(office, token) is None


def test_hash_of_a_token_is_no_token(office: Office) -> None:
    assert devices.device_of(office, devices.hashed(let_in(office))) is None


def test_client_s_device_is_bound_to_a_job(office: Office, job_id: UUID) -> None:
    with pytest.raises(BadValue, match="Choose the job"):
        pairing.begin(office, Face.CLIENT, None)
    device = devices.device_of(office, let_in(office, Face.CLIENT, job_id))
    assert device is not None
    assert shown_by(device, device.paired_at) == Showing(Face.CLIENT, job_id)


def test_pairing_and_revoking_are_on_record_and_close_no_undo(office: Office) -> None:
    firm = office.firm()
    edit = jobs.changed("firm", office.firm_id, 1, {"phone": "555-0134"})
    jobs.save(office, None, (edit,), Order(change_id=uuid4(), what="Phone"))
    token = let_in(office)
    device = devices.device_of(office, token)
    assert device is not None
    devices.revoke(office, device.id, order())
    with office.database.read() as connection:
        assert record_check.verify(connection) is None
        said = connection.exec_driver_sql("SELECT kind, who, what FROM record ORDER BY seq DESC LIMIT 2").all()
    assert [tuple(row) for row in said] == [
        ("revoke", firm.owner or "the owner", "Device revoked: Maren's tablet"),
        ("pair", firm.owner or "the owner", "Device let in: Maren's tablet (ours)"),
    ]
    assert jobs.undo_words(office, None) == "Phone"


def test_allowing_twice_lets_one_device_in(office: Office) -> None:
    one = pairing.begin(office, Face.OURS, None)
    pairing.ask(office, pairing.code_of(office, one), "Tablet", TABLET)
    same = order()
    pairing.allow(office, one.id, "", same)
    pairing.allow(office, one.id, "", same)
    assert len(devices.every_device(office)) == 1


def test_record_names_the_device_that_made_a_change(office: Office, job_id: UUID) -> None:
    work_as("Maren's tablet")
    edit = jobs.changed("job", job_id, 1, {"title": "Court"})
    jobs.save(office, job_id, (edit,), Order(change_id=uuid4(), what="Title"))
    assert jobs.undo_words(office, job_id) == "Title"
    work_as("")
    assert jobs.undo_words(office, job_id) == f"New job for {jobs.open_job(office, job_id).job.client.name}"
    with office.database.read() as connection:
        assert [one.who for one in record.history(connection, str(job_id))] == ["Maren's tablet", "the owner"]


def test_no_two_devices_are_called_alike_and_none_like_the_owner(office: Office) -> None:
    for typed in ("Tablet", " tablet ", "The owner"):
        let_in(office, name=typed)
    assert {one.name for one in devices.every_device(office)} == {"Tablet", "tablet 2", "The owner 2"}


def test_device_is_noted_as_seen_once_a_minute(office: Office, clock: StillClock) -> None:
    token, before = let_in(office), office.database.written
    for _ in range(5):
        clock.now += timedelta(seconds=10)
        device = devices.device_of(office, token)
        assert device is not None
        devices.note_seen(office, device)
    assert office.database.written == before
    clock.now += timedelta(seconds=10)
    assert devices.note_seen(office, device).last_seen == clock.now
    assert office.database.written == before + 1


@pytest.mark.parametrize("own", [Face.FIELD, Face.CLIENT])
def test_device_turned_to_ours_goes_back_when_it_lay_unused(office: Office, job_id: UUID, own: Face) -> None:
    from dataclasses import replace

    device = devices.device_of(office, let_in(office, own, job_id))
    assert device is not None
    turned = replace(device, turned=Face.OURS)
    assert shown_by(turned, device.last_seen + BACK_AFTER).face is Face.OURS
    assert shown_by(turned, device.last_seen + BACK_AFTER + timedelta(seconds=1)).face is own


@pytest.mark.parametrize(
    ("typed", "said"), [("", "Type the code"), ("ACDE", "4 signs"), ("ACDEFGH0", "“0”"), ("ACDEFGHO", "“O”")]
)
def test_what_cannot_be_a_code_is_said_and_counts_for_nothing(office: Office, typed: str, said: str) -> None:
    pairing.begin(office, Face.OURS, None)
    with pytest.raises(BadValue, match=said) as refused:
        pairing.ask(office, typed, "Tablet", TABLET)
    assert refused.value.field == "code"
    one = pairing.newest(office)
    assert one is not None
    assert one.wrong == 0


def test_alphabet_has_no_look_alikes() -> None:
    for alike in ("0O", "1IL", "2Z", "5S", "8B"):
        assert not set(alike) & set(ALPHABET), alike
    assert len(ALPHABET) == len(set(ALPHABET))
    assert as_typed(ALPHABET[:8].lower()) == ALPHABET[:8]


def test_words_to_compare_are_easy_and_far_apart() -> None:
    words = words_to_compare()
    assert len(words) > 250
    assert len({word[:4] for word in words}) == len(words)
    assert all(word.isascii() and word.isalpha() and word.islower() and 4 <= len(word) <= 9 for word in words)


def test_restore_brings_no_revoked_device_back(office: Office, tmp_path: Path) -> None:
    """A tablet lost after the backup was made stays out; one that is still in stays in."""
    lost, kept = let_in(office, name="Lost"), let_in(office, name="Kept")
    backups.back_up(office, tmp_path / "outlay.zip")
    device = devices.device_of(office, lost)
    assert device is not None
    devices.revoke(office, device.id, order())
    office.database.close()
    backups.restore(office.settings, tmp_path / "outlay.zip", clock=office.clock)
    again = open_office(office.settings, Basis(), office.clock)
    assert devices.device_of(again, lost) is None
    assert devices.device_of(again, kept) is not None
    again.database.close()
