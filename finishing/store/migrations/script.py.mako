"""${message}."""

import sqlalchemy as sa
from alembic import op
${imports if imports else ""}
revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}


def upgrade() -> None:
    """To ${up_revision}."""
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    """Not offered: the backup taken before the migration is the way back."""
    raise NotImplementedError
