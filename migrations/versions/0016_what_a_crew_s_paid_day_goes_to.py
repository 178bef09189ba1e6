"""what a crew s paid day goes to."""

import sqlalchemy as sa
from alembic import op

revision = '0016'
down_revision = '0015'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('firm', schema=None) as batch_op:
        batch_op.add_column(sa.Column('crew_day', sa.Text(), nullable=True))

    with op.batch_alter_table('site', schema=None) as batch_op:
        batch_op.add_column(sa.Column('drive_minutes', sa.Float(), nullable=True))

