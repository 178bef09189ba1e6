"""Eight clients at once ask for 240 full pages, and the server lives."""

import asyncio
from pathlib import Path

import httpx2 as httpx
import pytest

from tests.served import serving


@pytest.mark.slow
def test_eight_clients_and_240_pages_leave_the_server_alive(tmp_path: Path) -> None:
    with serving(tmp_path / "data", demo=True) as server:

        async def client(pages: list[str]) -> list[int]:
            async with httpx.AsyncClient(base_url=server.address, timeout=60) as http:
                return [(await http.get(page)).status_code for page in pages]

        async def all_clients(pages: list[str]) -> list[int]:
            return [code for codes in await asyncio.gather(*[client(pages) for _ in range(8)]) for code in codes]

        home = httpx.get(server.address).text
        jobs = sorted({part.split('"')[0] for part in home.split('href="/jobs/')[1:]})
        pages = (["/"] + [f"/jobs/{job}" for job in jobs]) * 30
        codes = asyncio.run(all_clients(pages[:30]))
        assert len(codes) == 240
        assert set(codes) == {200}
        assert server.alive
