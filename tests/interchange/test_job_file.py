"""Job files: the same bytes out as in, and a sentence for everything that is no job file."""

import dataclasses
import json
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.domain.basis import Assembly, Basis, Include, LaborClass, Material, Part, Price, Supplier, Task, TaskUse
from app.domain.codec import canonical_bytes, content_hash
from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Answer, Choice, Client, Head, Job, Need, Packet, PlaceKind, Site, Work, Zone
from app.domain.plan.outline import Outline
from app.interchange import job_file
from app.interchange.job_file import hashes_of, job_file_schema, read_job_file, upgraded, write_job_file
from app.interchange.trimming import trimmed
from tests.strategies import NAMED, NAMED_MANY, bases, jobs

random_values = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))


def one_job(**other: Any) -> Job:
    head = Head(id=UUID(int=1), client_id=UUID(int=2), budget_low_cents=4_000_000, story="½ in × 12′ “terrace”")
    given: dict[str, Any] = {"head": head, "client": Client(id=UUID(int=2)), "site": Site(id=UUID(int=3))}
    return Job(**(given | other))


def changed(change: Any, job: Job | None = None, basis: Basis | None = None, *, rehash: bool = True) -> bytes:
    """A job file with its plain data changed by hand (and its hashes made right again)."""
    plain = json.loads(write_job_file(job or one_job(), basis or Basis()))
    change(plain)
    if rehash:
        plain["hashes"] = hashes_of(plain)
    return canonical_bytes(plain)


def test_every_field_that_names_another_thing_is_drawn_to_name_one() -> None:
    """What is drawn by no rule would name what is not there; found by chance, that takes minutes to be told."""
    own_rules = {"client_id", "baseline_ids", "place_id"}
    ids = {field.name for kind, _ in JOB_THINGS.values() for field in dataclasses.fields(kind)}
    naming = {name for name in ids if name.endswith(("_id", "_ids"))}
    assert naming == own_rules | {name for name, _ in (*NAMED, *NAMED_MANY)}


@random_values
@given(st.data())
def test_random_jobs_and_bases_survive_with_the_same_bytes(data: st.DataObject) -> None:
    basis = data.draw(bases())
    job = data.draw(jobs(basis))
    written = write_job_file(job, basis)
    again = read_job_file(written)
    assert (again.job, again.basis) == (job, basis)
    assert write_job_file(again.job, again.basis) == written


@random_values
@given(st.data())
def test_trimmed_basis_keeps_what_is_used_and_trims_no_further(data: st.DataObject) -> None:
    basis = data.draw(bases())
    job = data.draw(jobs(basis))
    less = trimmed(basis, job)
    assert trimmed(less, job) == less
    for work in job.works:
        assert less.assemblies.get(work.assembly) == basis.assemblies.get(work.assembly)
    for assembly in less.assemblies.values():
        assert all(include.assembly in less.assemblies for include in assembly.includes)
        assert all(part.material in less.materials and part.material in less.prices for part in assembly.parts)
        assert all(use.task in less.tasks for use in assembly.tasks)
    assert all(task.crew in less.labor_classes for task in less.tasks.values())
    assert all(not price.supplier or price.supplier in less.suppliers for price in less.prices.values())


def test_trimmed_basis_leaves_out_what_is_not_used() -> None:
    deep = Assembly(key="deep", title="", parts=(Part(role="r", amount="area", material="sand"),))
    outer = Assembly(
        key="outer", title="", includes=(Include(assembly="deep"),), tasks=(TaskUse(task="lay", amount="area"),)
    )
    material = {key: Material(key=key, title="", role="r", buy="ton") for key in ("sand", "oak", "brick", "unused")}
    basis = Basis(
        assemblies={"deep": deep, "outer": outer, "unused": dataclasses.replace(deep, key="unused")},
        materials=material,
        prices={key: Price(material=key, unit_price=1, supplier=f"from-{key}") for key in material},  # type: ignore[arg-type]
        suppliers={f"from-{key}": Supplier(key=f"from-{key}", title="") for key in material},
        tasks={key: Task(key=key, title="", unit="foot", hours=(1, 1, 1), crew=key) for key in ("lay", "unused")},
        labor_classes={
            key: LaborClass(key=key, title="", wage=1, own=key == "owner")  # type: ignore[arg-type]
            for key in ("lay", "unused", "owner")
        },
    )
    job = one_job(
        works=(Work(id=UUID(int=5), place=PlaceKind.JOB, place_id=None, assembly="outer", finishes={"r": "brick"}),),
        choices=(Choice(id=UUID(int=6), role="r", material="oak"),),
    )
    less = trimmed(basis, job)
    assert set(less.assemblies) == {"deep", "outer"}
    assert set(less.materials) == set(less.prices) == {"sand", "oak", "brick"}
    assert set(less.suppliers) == {"from-sand", "from-oak", "from-brick"}
    assert set(less.tasks) == {"lay"}
    assert set(less.labor_classes) == {"lay", "owner"}


def test_hashes_are_those_of_the_values() -> None:
    material = Material(key="sand", title="Sand", role="bedding", buy="ton", loss=0.08)
    basis = Basis(materials={"sand": material})
    hashes = json.loads(write_job_file(one_job(), basis))["hashes"]
    assert hashes["basis"]["materials"]["sand"] == content_hash(material)
    assert hashes["basis"]["firm"] == content_hash(basis.firm)
    assert hashes["job"] == content_hash(one_job())


def set_margin(plain: Any) -> None:
    plain["basis"]["firm"]["margin"] = "0.99"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "does not read as JSON"),
        (b"\xff\xfe", "does not read as JSON"),
        (b"[" * 100_000, "does not read as JSON"),
        (b"[]", "does not say it is"),
        (b'{"format":"other","version":1}', "does not say it is"),
        (b'{"format":"outlay job"}', "does not say which version"),
        (b'{"format":"outlay job","version":true}', "does not say which version"),
        (b'{"format":"outlay job","version":0}', "does not say which version"),
        (b'{"format":"outlay job","version":99}', "written by a newer program"),
        (b'{"format":"outlay job","version":1}', "lacks its job or its basis"),
        (b'{"format":"outlay job","version":1,"job":3,"basis":[]}', "lacks its job or its basis"),
        (b'{"format":"outlay job","version":1,"job":3,"basis":{"prices":4}}', "lacks its job or its basis"),
        (b" " * 20_000_001, "larger than 20 MB"),
        (changed(set_margin, rehash=False), "changed or damaged after it was written: basis, firm"),
        (changed(lambda p: p.pop("hashes"), rehash=False), "its list of hashes"),
        (changed(lambda p: p["job"]["head"].pop("id")), "does not read as Job"),
        (changed(lambda p: p["job"]["head"].update(stage="sold")), "does not read as Job"),
        (changed(lambda p: p["job"]["head"].update(colour="red")), "holds “colour” in job, head"),
        (changed(lambda p: p["basis"].update(extra={})), "holds “extra” in basis"),
        (changed(lambda p: p["job"].update(needs=3)), "does not read as Job"),
    ],
)
def test_what_is_no_job_file_is_refused_in_a_sentence(content: bytes, sentence: str) -> None:
    with pytest.raises(BadValue, match=sentence):
        read_job_file(content)


def test_ids_twice_and_things_that_are_not_there_are_refused() -> None:
    need = Need(id=UUID(int=7), words="shade")
    zone = Zone(id=UUID(int=8), phase_id=UUID(int=99))
    twice = write_job_file(one_job(needs=(need, need)), Basis())
    with pytest.raises(BadValue, match="Two things in this job file have the same id"):
        read_job_file(twice)
    with pytest.raises(BadValue, match="A zone in this job file names a phase that is not in it"):
        read_job_file(write_job_file(one_job(zones=(zone,)), Basis()))
    with pytest.raises(BadValue, match="A need in this job file names a zone"):
        read_job_file(write_job_file(one_job(needs=(dataclasses.replace(need, zone_ids=(UUID(int=98),)),)), Basis()))


def test_key_that_differs_from_its_value_is_refused() -> None:
    basis = Basis(materials={"sand": Material(key="gravel", title="", role="", buy="ton")})
    with pytest.raises(BadValue, match="“sand” calls itself “gravel”"):
        read_job_file(write_job_file(one_job(), basis))


def test_older_versions_are_brought_up_to_date_one_step_at_a_time() -> None:
    steps = {
        1: lambda plain: {**plain, "name": plain["title"].upper()},
        2: lambda plain: {**plain, "name": plain["name"] + "!"},
    }
    older = {"version": 1, "title": "terrace"}
    assert upgraded(older, upgrades=steps, newest=3) == {"version": 3, "title": "terrace", "name": "TERRACE!"}
    assert older == {"version": 1, "title": "terrace"}


def test_upgrade_runs_on_reading_and_every_older_version_has_one(monkeypatch: pytest.MonkeyPatch) -> None:
    assert set(job_file.UPGRADES) == set(range(1, job_file.VERSION))
    older = changed(lambda p: p["job"]["head"].update(old_title=p["job"]["head"].pop("title")))

    def rename(plain: Any) -> Any:
        head = dict(plain["job"]["head"])
        head["title"] = head.pop("old_title") + "Back yard"
        return {**plain, "job": {**plain["job"], "head": head}}

    written_as = job_file.VERSION
    monkeypatch.setattr(job_file, "UPGRADES", {written_as: rename})
    monkeypatch.setattr(job_file, "VERSION", written_as + 1)
    read = read_job_file(older)
    assert (read.version, read.job.head.title) == (written_as, "Back yard")


def given_away() -> Job:
    """A job whose one work is given away in a packet."""
    work = Work(id=UUID(int=4), place=PlaceKind.JOB, assembly="stake-lot-lines")
    return one_job(works=(work,), packets=(Packet(id=UUID(int=5), title="Lot lines", work_ids=(work.id,)),))


def test_file_of_version_1_says_works_for_what_a_packet_holds() -> None:
    def as_then(plain: Any) -> None:
        (packet,) = plain["job"]["packets"]
        packet["works"] = [*packet.pop("work_ids"), str(UUID(int=99))]  # taken out meanwhile, named still
        plain["version"] = 1

    assert read_job_file(changed(as_then, given_away())).job == given_away()


def test_packet_that_names_a_work_that_is_not_there_is_refused() -> None:
    lost = dataclasses.replace(given_away(), works=())
    with pytest.raises(BadValue, match="A packet in this job file names a work that is not in it"):
        read_job_file(write_job_file(lost, Basis()))


def test_schema_names_every_field_of_job_and_basis() -> None:
    schema = job_file_schema()
    shapes = schema["$defs"]
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    for kind in (Job, Basis, Head, Material):
        assert set(shapes[kind.__name__]["properties"]) == {f.name for f in dataclasses.fields(kind)}
    assert set(schema["$defs"]["JobFileContent"]["properties"]) == set(json.loads(write_job_file(one_job(), Basis())))
    assert canonical_bytes(json.loads(canonical_bytes(schema))) == canonical_bytes(schema)


@pytest.mark.parametrize("number", [0.1, 1e-7, 1e16, 123456789.123, 5e-324, 2.0**60, -0.5])
def test_numbers_read_back_the_same(number: float) -> None:
    job = one_job(site=Site(id=UUID(int=3), haul_distance=number))
    written = write_job_file(job, Basis())
    assert read_job_file(written).job == job
    assert write_job_file(read_job_file(written).job, Basis()) == written


@pytest.mark.parametrize("version", range(1, job_file.VERSION + 1))
def test_job_file_of_each_version_is_still_opened(version: int) -> None:
    kept = (Path(__file__).parent / "kept" / f"version-{version}.json").read_bytes()
    read = read_job_file(kept)
    assert read.version == version
    assert (read.job.head.title, read.job.head.budget_low_cents) == ("Back yard", 4_000_000)
    assert read.job.alternatives[0].outline == Outline(
        "POLYGON ((0 0, 18 0, 18 12.5, 0 12.5, 0 0))", "rectangle", (18.0, 12.5)
    )
    assert read.basis.prices["pea-stone"].unit_price == Decimal("48.5")
    assert read.basis.assemblies["loose-stone"].parts[0].amount == "area * depth"
    assert read.job.site.private_lines["septic"] is Answer.UNKNOWN
