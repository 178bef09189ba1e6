"""a warranty reserve by kind of work."""

import sqlalchemy as sa
from alembic import op

revision = '0024'
down_revision = '0023'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('firm', schema=None) as batch_op:
        batch_op.add_column(sa.Column('warranty_by_group', sa.Text(), nullable=True))

