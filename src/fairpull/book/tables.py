"""The catalogue's tables. Every name that a person may search by stands here; nothing else knows SQL columns."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# What the house prefers: units, standard, grid, bands.
SETTINGS = Table(
    "settings",
    METADATA,
    Column("key", Text, primary_key=True),
    Column("value", Text, nullable=False),
)

# Engines, parts, builds, sessions, checks, questions, duties: every version of every page, as written.
SHEETS = Table(
    "sheets",
    METADATA,
    Column("kind", Text, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("body", Text, nullable=False),  # canonical JSON of the page
    Column("added_at", Double, nullable=False),
)

# Which parts a build's current version holds, so that pulls are found by part.
FITTED = Table(
    "fitted",
    METADATA,
    Column("build", Text, primary_key=True),
    Column("kind", Text, primary_key=True),  # of part; "engine" for the engine itself
    Column("part", Text, nullable=False, index=True),
)

# Files byte for byte, under their content hash.
ORIGINALS = Table(
    "originals",
    METADATA,
    Column("sha256", Text, primary_key=True),
    Column("file_name", Text, nullable=False),
    Column("size", BigInteger, nullable=False),
    Column("added_at", Double, nullable=False),
)

# One line a pull: what it is, whether it counts, and its summary figures.
PULLS = Table(
    "pulls",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("name", Text, nullable=False, unique=True),
    Column("original", Text, ForeignKey("originals.sha256"), nullable=False),
    Column("piece", Integer, nullable=False),
    Column("build", Text, nullable=False, index=True),
    Column("build_version", Integer, nullable=False),
    Column("session", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("valid_to", Double),
    Column("started_at", Double, index=True),
    Column("kind", Text, nullable=False),
    Column("sweep_rate", Double, nullable=False),
    Column("tested_low", Double, nullable=False),
    Column("tested_high", Double, nullable=False),
    Column("trace", Text, nullable=False),  # content hash of the trace
    Column("trace_file", Text, nullable=False),  # Parquet file below traces/
    Column("summary", Text, nullable=False),  # canonical JSON, name -> number
    Column("taken_at", Double, nullable=False),
    Column("version", Text, nullable=False),
    # Canonical JSON: origin, given, findings, choices, reading, health, channels (their order), first_row, last_row.
    # It is long: as the last column it costs nothing to those who do not ask for it.
    Column("papers", Text, nullable=False),
    UniqueConstraint("original", "piece"),
)

# Three numbers a channel, and the summary figures, by pull: the first stop of every search.
FIGURES = Table(
    "figures",
    METADATA,
    Column("pull", Integer, ForeignKey("pulls.number"), primary_key=True, autoincrement=False),
    Column("name", Text, primary_key=True),  # glossary name of a channel, or a summary figure ("peak_power")
    Column("least", Double, nullable=False),
    Column("mean", Double, nullable=False),
    Column("most", Double, nullable=False),
    Index(None, "name", "most"),
    Index(None, "name", "least"),
)

# Every judgement of a pull's state, with its reason; the newest stands in ``pulls`` too.
MARKS = Table(
    "marks",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("pull", Text, nullable=False, index=True),
    Column("state", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("valid_to", Double),
    Column("by", Text, nullable=False),
    Column("at", Double, nullable=False),
)

ATTACHMENTS = Table(
    "attachments",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("sha256", Text, ForeignKey("originals.sha256"), nullable=False),
    Column("file_name", Text, nullable=False),
    Column("about_kind", Text, nullable=False),
    Column("about_name", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("added_at", Double, nullable=False),
)

REMARKS = Table(
    "remarks",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("about_kind", Text, nullable=False),
    Column("about_name", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("by", Text, nullable=False),
    Column("added_at", Double, nullable=False),
)

RESULTS = Table(
    "results",
    METADATA,
    Column("name", Text, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("request", Text, nullable=False),
    Column("traces", Text, nullable=False),
    Column("sheets", Text, nullable=False),
    Column("result", Text, nullable=False),
    Column("version", Text, nullable=False),
    Column("machine", Text, nullable=False),
    Column("made_at", Double, nullable=False),
)

# How often somebody looked at a build against its reference: what a spending rule has to know.
LOOKS = Table(
    "looks",
    METADATA,
    Column("reference", Text, primary_key=True),
    Column("build", Text, primary_key=True),
    Column("count", Integer, nullable=False),
)

# The record of migrations: which schema came when, by which code.
HISTORY = Table(
    "history",
    METADATA,
    Column("revision", Text, primary_key=True),
    Column("at", Double, nullable=False),
    Column("version", Text, nullable=False),
)
