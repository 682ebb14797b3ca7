"""Figures get a table of their own, so that a search need not open papers; looks are counted."""

from __future__ import annotations

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables, and move the figures of each pull out of its papers."""
    op.create_table(
        "looks",
        sa.Column("reference", sa.Text, nullable=False),
        sa.Column("build", sa.Text, nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("reference", "build", name="pk_looks"),
    )
    figures = op.create_table(
        "figures",
        sa.Column("pull", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("least", sa.Double, nullable=False),
        sa.Column("mean", sa.Double, nullable=False),
        sa.Column("most", sa.Double, nullable=False),
        sa.PrimaryKeyConstraint("pull", "name", name="pk_figures"),
        sa.ForeignKeyConstraint(["pull"], ["pulls.number"], name="fk_figures_pull"),
    )
    op.create_index("ix_figures_name_most", "figures", ["name", "most"])
    op.create_index("ix_figures_name_least", "figures", ["name", "least"])
    _move_figures(figures)


def _move_figures(figures: sa.Table) -> None:
    connection = op.get_bind()
    pulls = sa.table("pulls", sa.column("number"), sa.column("summary"), sa.column("papers"))
    for row in connection.execute(sa.select(pulls)).all():
        papers = json.loads(row.papers)
        moved = [
            {"pull": row.number, "name": name, "least": one["least"], "mean": one["mean"], "most": one["most"]}
            for name, one in papers.pop("figures", {}).items()
        ]
        moved += [
            {"pull": row.number, "name": name, "least": value, "mean": value, "most": value}
            for name, value in json.loads(row.summary).items()
        ]
        if moved:
            connection.execute(sa.insert(figures), moved)
        text = json.dumps(papers, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
        connection.execute(sa.update(pulls).where(pulls.c.number == row.number).values(papers=text))
