"""A job file with its photos and pages beside it, in one zip: `job.json`, and `files/` by the hash of the content."""

import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO

from app.domain.basis import Basis
from app.domain.errors import BadValue
from app.domain.job import Job
from app.interchange.archive import contents, opened, put, strange_name
from app.interchange.job_file import MOST_BYTES, JobFile, read_job_file, write_job_file

MOST_FILES = 500
MOST_FILE_BYTES = 40_000_000
MOST_TOTAL_BYTES = 500_000_000
KNOWN = re.compile(r"job\.json|files/([0-9a-f]{64})")
TOO_MUCH = "This zip unpacks to more than a job and its files can hold."


@dataclass(frozen=True, slots=True, kw_only=True)
class JobBundle:
    """A job file with the files it names. `missing` are hashes that the job names and the bundle lacks."""

    job_file: JobFile
    files: Mapping[str, bytes]
    missing: tuple[str, ...] = ()


def files_named(job: Job, basis: Basis) -> tuple[str, ...]:
    """Hashes of all files a job and its firm name: photos, quotes, cut sheets, papers of who quotes, the firm's own."""
    firm = basis.firm
    pages = (*((firm.terms,) if firm.terms else ()), *firm.notices)
    named = (
        [photo.file for photo in job.photos]
        + [one.file for one in job.underlays]
        + [one.file for one in job.quotes]
        + [one.file for one in job.lien_releases]
        + [one.file for one in job.cut_sheets]
        + [paper.file for one in basis.subcontractors.values() for paper in one.kept_papers]
        + [firm.mark]
        + [page.file for page in pages]
    )
    return tuple(sorted({name for name in named if name}))


def write_job_bundle(job: Job, basis: Basis, files: Mapping[str, bytes]) -> bytes:
    """The job file and those of `files` that it names, as a zip. The same values give the same bytes."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as held:
        put(held, "job.json", write_job_file(job, basis))
        for name in files_named(job, basis):
            if name in files:
                put(held, f"files/{name}", files[name], packed=False)
    return out.getvalue()


def read_job_bundle(content: bytes) -> JobBundle:
    """A bundle's job file and files.

    Raises: BadValue, in a sentence, on what is no zip or no bundle, a name that is not ours (so none can lead outside a
    folder), a file twice, more or larger files than a bundle may hold, or content that does not match its name.
    """
    with opened(content, BadValue, "This is not a job with its files: the zip cannot be read.") as held:
        found = dict(_contents(held))
    return _bundle(found)


def _bundle(found: Mapping[str, bytes]) -> JobBundle:
    if "job.json" not in found:
        raise BadValue("This zip holds no job.json: it is not a job with its files.")
    job_file = read_job_file(found["job.json"])
    files = {name.removeprefix("files/"): content for name, content in found.items() if name != "job.json"}
    damaged = next((name for name, content in files.items() if sha256(content).hexdigest() != name), None)
    if damaged is not None:
        raise BadValue(f"A file in this zip is damaged: its content does not match its name, {damaged[:12]}….")
    missing = tuple(name for name in files_named(job_file.job, job_file.basis) if name not in files)
    return JobBundle(job_file=job_file, files=files, missing=missing)


def _contents(held: zipfile.ZipFile) -> Iterator[tuple[str, bytes]]:
    """Each file's name and content, never more than the limits, whatever the zip says of itself."""
    names = held.namelist()
    if len(names) > MOST_FILES:
        raise BadValue(f"This zip holds {len(names):,} files. A job can have {MOST_FILES}.")
    if len(set(names)) < len(names):
        raise BadValue("This zip holds a file twice.")
    if strange := strange_name(held, KNOWN):
        raise BadValue(f"This zip holds “{strange[:60]}”, which does not belong to a job with its files.")
    return contents(held, most_bytes_of, MOST_TOTAL_BYTES, BadValue(TOO_MUCH))


def most_bytes_of(name: str) -> int:
    """How large a file of a bundle may be: the job file itself, else a picture or pages [bytes]."""
    return MOST_BYTES if name == "job.json" else MOST_FILE_BYTES
