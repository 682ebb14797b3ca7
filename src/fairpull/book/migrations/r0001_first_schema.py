"""The first schema: sheets, originals, pulls, marks, papers, results. A pull's figures stand in its papers."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    _sheets()
    _pulls()
    _marks()
    _papers()
    _results()


def _sheets() -> None:
    op.create_table(
        "settings",
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("value", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_settings"),
    )
    op.create_table(
        "sheets",
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("added_at", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("kind", "name", "version", name="pk_sheets"),
    )
    op.create_table(
        "fitted",
        sa.Column("build", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("part", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("build", "kind", name="pk_fitted"),
    )
    op.create_index("ix_fitted_part", "fitted", ["part"])


def _pulls() -> None:
    op.create_table(
        "originals",
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("file_name", sa.Text, nullable=False),
        sa.Column("size", sa.BigInteger, nullable=False),
        sa.Column("added_at", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_originals"),
    )
    op.create_table(
        "pulls",
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("original", sa.Text, nullable=False),
        sa.Column("piece", sa.Integer, nullable=False),
        sa.Column("build", sa.Text, nullable=False),
        sa.Column("build_version", sa.Integer, nullable=False),
        sa.Column("session", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("valid_to", sa.Double),
        sa.Column("started_at", sa.Double),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("sweep_rate", sa.Double, nullable=False),
        sa.Column("tested_low", sa.Double, nullable=False),
        sa.Column("tested_high", sa.Double, nullable=False),
        sa.Column("trace", sa.Text, nullable=False),
        sa.Column("trace_file", sa.Text, nullable=False),
        sa.Column("summary", sa.Text, nullable=False),
        sa.Column("taken_at", sa.Double, nullable=False),
        sa.Column("version", sa.Text, nullable=False),
        sa.Column("papers", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_pulls"),
        sa.UniqueConstraint("name", name="uq_pulls_name"),
        sa.UniqueConstraint("original", "piece", name="uq_pulls_original_piece"),
        sa.ForeignKeyConstraint(["original"], ["originals.sha256"], name="fk_pulls_original"),
    )
    op.create_index("ix_pulls_build", "pulls", ["build"])
    op.create_index("ix_pulls_started_at", "pulls", ["started_at"])


def _marks() -> None:
    op.create_table(
        "marks",
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("pull", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("valid_to", sa.Double),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("at", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_marks"),
    )
    op.create_index("ix_marks_pull", "marks", ["pull"])


def _papers() -> None:
    op.create_table(
        "attachments",
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("file_name", sa.Text, nullable=False),
        sa.Column("about_kind", sa.Text, nullable=False),
        sa.Column("about_name", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("added_at", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_attachments"),
        sa.ForeignKeyConstraint(["sha256"], ["originals.sha256"], name="fk_attachments_sha256"),
    )
    op.create_table(
        "remarks",
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("about_kind", sa.Text, nullable=False),
        sa.Column("about_name", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("added_at", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_remarks"),
    )


def _results() -> None:
    op.create_table(
        "results",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("request", sa.Text, nullable=False),
        sa.Column("traces", sa.Text, nullable=False),
        sa.Column("sheets", sa.Text, nullable=False),
        sa.Column("result", sa.Text, nullable=False),
        sa.Column("version", sa.Text, nullable=False),
        sa.Column("machine", sa.Text, nullable=False),
        sa.Column("made_at", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_results"),
    )
    op.create_table(
        "history",
        sa.Column("revision", sa.Text, nullable=False),
        sa.Column("at", sa.Double, nullable=False),
        sa.Column("version", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("revision", name="pk_history"),
    )
