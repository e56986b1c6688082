"""How the steps are run: on the connection, and in the transaction, that is given."""

from alembic import context

from crena.store.sql_tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
)
context.run_migrations()
