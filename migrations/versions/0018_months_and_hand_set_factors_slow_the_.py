"""months and hand set factors slow the work."""

import sqlalchemy as sa
from alembic import op

revision = '0018'
down_revision = '0017'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('firm', schema=None) as batch_op:
        batch_op.add_column(sa.Column('seasons', sa.Text(), nullable=True))

    with op.batch_alter_table('site', schema=None) as batch_op:
        batch_op.add_column(sa.Column('slowing', sa.Text(), nullable=True))

