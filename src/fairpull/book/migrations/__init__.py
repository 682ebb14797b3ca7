"""One file for each step of the catalogue's schema; read by Alembic, in the order of their ``down_revision``."""
