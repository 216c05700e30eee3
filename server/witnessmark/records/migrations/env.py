"""Alembic's entry point: runs the steps in `versions` on the connection that `records.schema` hands over."""

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=context.config.attributes["metadata"],
                  transactional_ddl=True, render_as_batch=True)
context.run_migrations()
