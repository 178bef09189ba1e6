"""On which jobs' plant lists a species stands."""

from sqlalchemy import Connection, select

from app.db.tables.things import TABLES


def jobs_planting(connection: Connection, firm_id: str, species: str) -> list[int]:
    """The numbers of the jobs that have a species on a list, in order."""
    row, job = TABLES["planting"].c, TABLES["job"].c
    query = select(job.number).where(
        row.firm_id == firm_id, row.species == species, job.firm_id == firm_id, job.thing_id == row.job_id
    )
    return sorted(set(connection.execute(query).scalars()))
