"""a price keeps the supplier's own code."""

import sqlalchemy as sa
from alembic import op

revision = '0011'
down_revision = '0010'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('price', schema=None) as batch_op:
        batch_op.add_column(sa.Column('code', sa.Text(), nullable=True))
