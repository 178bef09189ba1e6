"""a class of people keeps its year of pay."""

import sqlalchemy as sa
from alembic import op

revision = '0013'
down_revision = '0012'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('labor_class', schema=None) as batch_op:
        batch_op.add_column(sa.Column('year', sa.Text(), nullable=True))
