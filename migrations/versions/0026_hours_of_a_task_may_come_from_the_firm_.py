"""hours of a task may come from the firm s own jobs."""

import sqlalchemy as sa
from alembic import op

revision = '0026'
down_revision = '0025'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('task', schema=None) as batch_op:
        batch_op.add_column(sa.Column('own_jobs', sa.BigInteger(), nullable=True))

