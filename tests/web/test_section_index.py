"""Long pages begin with an index of their sections: each leads to one that is there, and none is left out."""

import re

import pytest

from tests.web.yard import text_of


def sections(page: str) -> dict[str, str]:
    """The sections a reader can be led to, by id, with their titles as they stand there."""
    body = page[page.index("</nav>", page.index('class="section-index"')) : page.index("</main>")]
    found = {}
    for part in body.split("<section ")[1:]:
        titled = re.match(r'id="([^"]+)".*?(?:<h2[^>]*>(.*?)</h2>|<summary><span>(.*?)</span>)', part, re.DOTALL)
        if titled:
            found[titled[1]] = titled[2] or titled[3]
    found |= dict(re.findall(r'<h2 id="(part-[^"]+)"[^>]*>(.*?)</h2>', body, re.DOTALL))
    return {at: text_of(re.sub(r"<span.*?</span>", "", title, flags=re.DOTALL)) for at, title in found.items()}


def index(page: str) -> dict[str, str]:
    nav = page[page.index('class="section-index"') :].partition("</nav>")[0]
    links = re.findall(r'<a href="#([^"]+)"><b[^>]*>\d+</b><span>(.*?)</span>', nav, re.DOTALL)
    return {at: text_of(re.sub(r"<em>.*?</em>", "", words)) for at, words in links}


@pytest.mark.parametrize("path", ["/firm", "/jobs/{job}/site", "/jobs/{job}/checks"])
def test_the_index_names_every_section_by_its_title(web, job_id, path):
    page = web.get(path.format(job=job_id)).text
    assert index(page) == sections(page)
    assert len(index(page)) >= 2
