"""options packages and what is left out."""

import sqlalchemy as sa
from alembic import op

revision = '0014'
down_revision = '0013'
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table('option',
    sa.Column('firm_id', sa.Text(), nullable=False),
    sa.Column('thing_id', sa.Text(), nullable=False),
    sa.Column('job_id', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), nullable=False),
    sa.Column('last_change', sa.Text(), nullable=False),
    sa.Column('title', sa.Text(), nullable=True),
    sa.Column('words', sa.Text(), nullable=True),
    sa.Column('thing_ids', sa.Text(), nullable=True),
    sa.Column('way_id', sa.Text(), nullable=True),
    sa.Column('taken', sa.Boolean(), nullable=True),
    sa.Column('initials', sa.Text(), nullable=True),
    sa.Column('decided_on', sa.Text(), nullable=True),
    sa.Column('position', sa.BigInteger(), nullable=True),
    sa.PrimaryKeyConstraint('firm_id', 'thing_id', name=op.f('pk_option'))
    )
    with op.batch_alter_table('option', schema=None) as batch_op:
        batch_op.create_index('ix_option_job_id', ['job_id'], unique=False)

    op.create_table('package',
    sa.Column('firm_id', sa.Text(), nullable=False),
    sa.Column('thing_id', sa.Text(), nullable=False),
    sa.Column('job_id', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), nullable=False),
    sa.Column('last_change', sa.Text(), nullable=False),
    sa.Column('title', sa.Text(), nullable=True),
    sa.Column('words', sa.Text(), nullable=True),
    sa.Column('zone_ids', sa.Text(), nullable=True),
    sa.Column('way_ids', sa.Text(), nullable=True),
    sa.Column('option_ids', sa.Text(), nullable=True),
    sa.Column('position', sa.BigInteger(), nullable=True),
    sa.PrimaryKeyConstraint('firm_id', 'thing_id', name=op.f('pk_package'))
    )
    with op.batch_alter_table('package', schema=None) as batch_op:
        batch_op.create_index('ix_package_job_id', ['job_id'], unique=False)

    with op.batch_alter_table('allowance', schema=None) as batch_op:
        batch_op.add_column(sa.Column('covers', sa.Text(), nullable=True))
        batch_op.add_column(sa.Column('markup', sa.Text(), nullable=True))
        batch_op.add_column(sa.Column('choose_by', sa.Text(), nullable=True))

    with op.batch_alter_table('need', schema=None) as batch_op:
        batch_op.add_column(sa.Column('weight', sa.BigInteger(), nullable=True))

    with op.batch_alter_table('zone', schema=None) as batch_op:
        batch_op.add_column(sa.Column('left_out', sa.Boolean(), nullable=True))

