"""subcontractors packets and quotes."""

import sqlalchemy as sa
from alembic import op

revision = '0032'
down_revision = '0031'
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table('packet',
    sa.Column('firm_id', sa.Text(), nullable=False),
    sa.Column('thing_id', sa.Text(), nullable=False),
    sa.Column('job_id', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), nullable=False),
    sa.Column('last_change', sa.Text(), nullable=False),
    sa.Column('title', sa.Text(), nullable=True),
    sa.Column('trade', sa.Text(), nullable=True),
    sa.Column('works', sa.Text(), nullable=True),
    sa.Column('materials', sa.Text(), nullable=True),
    sa.Column('extras', sa.Text(), nullable=True),
    sa.Column('words', sa.Text(), nullable=True),
    sa.Column('answer_by', sa.Text(), nullable=True),
    sa.Column('position', sa.BigInteger(), nullable=True),
    sa.PrimaryKeyConstraint('firm_id', 'thing_id', name=op.f('pk_packet'))
    )
    with op.batch_alter_table('packet', schema=None) as batch_op:
        batch_op.create_index('ix_packet_job_id', ['job_id'], unique=False)

    op.create_table('quote',
    sa.Column('firm_id', sa.Text(), nullable=False),
    sa.Column('thing_id', sa.Text(), nullable=False),
    sa.Column('job_id', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), nullable=False),
    sa.Column('last_change', sa.Text(), nullable=False),
    sa.Column('packet_id', sa.Text(), nullable=True),
    sa.Column('subcontractor', sa.Text(), nullable=True),
    sa.Column('cents', sa.BigInteger(), nullable=True),
    sa.Column('given_on', sa.Text(), nullable=True),
    sa.Column('valid_until', sa.Text(), nullable=True),
    sa.Column('scope', sa.Text(), nullable=True),
    sa.Column('added', sa.Text(), nullable=True),
    sa.Column('elsewhere', sa.Text(), nullable=True),
    sa.Column('amounts', sa.Text(), nullable=True),
    sa.Column('file', sa.Text(), nullable=True),
    sa.Column('note', sa.Text(), nullable=True),
    sa.Column('accepted_on', sa.Text(), nullable=True),
    sa.PrimaryKeyConstraint('firm_id', 'thing_id', name=op.f('pk_quote'))
    )
    with op.batch_alter_table('quote', schema=None) as batch_op:
        batch_op.create_index('ix_quote_job_id', ['job_id'], unique=False)

    op.create_table('subcontractor',
    sa.Column('firm_id', sa.Text(), nullable=False),
    sa.Column('thing_id', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), nullable=False),
    sa.Column('last_change', sa.Text(), nullable=False),
    sa.Column('title', sa.Text(), nullable=True),
    sa.Column('trade', sa.Text(), nullable=True),
    sa.Column('person', sa.Text(), nullable=True),
    sa.Column('phone', sa.Text(), nullable=True),
    sa.Column('license', sa.Text(), nullable=True),
    sa.Column('insured_until', sa.Text(), nullable=True),
    sa.Column('papers', sa.Text(), nullable=True),
    sa.Column('note', sa.Text(), nullable=True),
    sa.PrimaryKeyConstraint('firm_id', 'thing_id', name=op.f('pk_subcontractor'))
    )
