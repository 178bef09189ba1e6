"""A job under other ids is the same job."""

from uuid import UUID

from hypothesis import given, settings

from app.domain.codec import canonical_bytes, to_plain
from app.interchange.fresh_ids import ID, with_fresh_ids
from tests.domain.takeoff.yards import JOB, key
from tests.strategies import jobs

SEED = UUID(int=77)


def ids_in(job) -> set[str]:
    return set(ID.findall(canonical_bytes(to_plain(job)).decode()))


def test_every_id_is_new_and_references_follow():
    fresh = with_fresh_ids(JOB, SEED)
    assert not ids_in(JOB) & ids_in(fresh)
    assert fresh.zones[0].chosen_id == fresh.alternatives[0].id
    assert fresh.works[0].place_id == fresh.alternatives[0].id
    assert fresh.head.client_id == fresh.client.id


def test_neighbor_that_is_named_as_text_follows_too():
    from dataclasses import replace

    from app.domain.job import Edge

    edges = (
        Edge(id=key(60), zone_id=JOB.zones[0].id, neighbor=str(JOB.zones[0].id)),
        Edge(id=key(61), zone_id=JOB.zones[0].id, neighbor="house"),
    )
    fresh = with_fresh_ids(replace(JOB, edges=edges), SEED)
    assert [edge.neighbor for edge in fresh.edges] == [str(fresh.zones[0].id), "house"]


@settings(max_examples=20)
@given(job=jobs())
def test_the_same_seed_gives_the_same_job_and_another_seed_another(job):
    fresh = with_fresh_ids(job, SEED)
    assert fresh == with_fresh_ids(job, SEED)
    assert len(ids_in(fresh)) == len(ids_in(job))
    assert fresh.head.id != with_fresh_ids(job, UUID(int=78)).head.id
