"""what a job answers to reminders."""

import sqlalchemy as sa
from alembic import op

revision = '0021'
down_revision = '0020'
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table('reminder',
    sa.Column('firm_id', sa.Text(), nullable=False),
    sa.Column('thing_id', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), nullable=False),
    sa.Column('last_change', sa.Text(), nullable=False),
    sa.Column('title', sa.Text(), nullable=True),
    sa.Column('question', sa.Text(), nullable=True),
    sa.Column('group', sa.Text(), nullable=True),
    sa.Column('asked_by', sa.Text(), nullable=True),
    sa.Column('priced_by', sa.Text(), nullable=True),
    sa.Column('adds', sa.Text(), nullable=True),
    sa.Column('exclusion', sa.Text(), nullable=True),
    sa.Column('why', sa.Text(), nullable=True),
    sa.Column('source', sa.Text(), nullable=True),
    sa.PrimaryKeyConstraint('firm_id', 'thing_id', name=op.f('pk_reminder'))
    )
    op.create_table('reminder_answer',
    sa.Column('firm_id', sa.Text(), nullable=False),
    sa.Column('thing_id', sa.Text(), nullable=False),
    sa.Column('job_id', sa.Text(), nullable=False),
    sa.Column('version', sa.Integer(), nullable=False),
    sa.Column('last_change', sa.Text(), nullable=False),
    sa.Column('reminder', sa.Text(), nullable=True),
    sa.Column('reply', sa.Text(), nullable=True),
    sa.Column('reason', sa.Text(), nullable=True),
    sa.Column('words', sa.Text(), nullable=True),
    sa.PrimaryKeyConstraint('firm_id', 'thing_id', name=op.f('pk_reminder_answer'))
    )
    with op.batch_alter_table('reminder_answer', schema=None) as batch_op:
        batch_op.create_index('ix_reminder_answer_job_id', ['job_id'], unique=False)

