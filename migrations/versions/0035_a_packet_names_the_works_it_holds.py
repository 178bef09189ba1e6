"""a packet names the works it holds."""

import json

import sqlalchemy as sa
from alembic import op

revision = '0035'
down_revision = '0034'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('packet', schema=None) as batch_op:
        batch_op.alter_column('works', new_column_name='work_ids')
    connection = op.get_bind()
    there = {one for (one,) in connection.execute(sa.text('SELECT thing_id FROM work'))}
    for packet, held in connection.execute(sa.text('SELECT thing_id, work_ids FROM packet')).all():
        named = json.loads(held) if held else []
        left = [one for one in named if one in there]  # a work that was taken out stayed named until now
        if left != named:
            told = {'left': json.dumps(left), 'packet': packet}
            connection.execute(sa.text('UPDATE packet SET work_ids = :left WHERE thing_id = :packet'), told)
