"""a need may take options as well."""

import sqlalchemy as sa
from alembic import op

revision = '0031'
down_revision = '0030'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('need', schema=None) as batch_op:
        batch_op.add_column(sa.Column('option_ids', sa.Text(), nullable=True))

