"""Looking for a start line in the worker gives what the domain finds."""

import pytest

from app.domain.plan import rectangle
from app.domain.plan.laying import BorderCourse, Laying, Unit
from app.domain.plan.laying.searching import search_start
from app.worker import run_now
from app.worker.start_search import found_of, search_payload

pytestmark = pytest.mark.own_process

BRICK = Unit(length=8 / 12, width=4 / 12)


def test_the_worker_finds_what_the_domain_finds() -> None:
    laying = Laying(pattern="running-half", borders=(BorderCourse(),))
    outline, doors = rectangle(9.3, 7.1), ((2.0, 0.0),)
    content = run_now("start", search_payload(outline, laying, (BRICK, BRICK), doors))
    assert found_of(content) == search_start(outline, laying, BRICK, (BRICK,), doors)
