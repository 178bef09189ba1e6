"""Who worked: the names that hours were logged for in any job of the firm."""

from sqlalchemy import Connection, func, select

from app.db.tables.things import TABLES

MOST = 24


def people_who_worked(connection: Connection, firm_id: str) -> list[str]:
    """Names, those who worked last first."""
    table = TABLES["logged_hours"]
    query = select(table.c.person).where(table.c.firm_id == firm_id).group_by(table.c.person)
    return list(connection.execute(query.order_by(func.max(table.c.day).desc(), table.c.person).limit(MOST)).scalars())
