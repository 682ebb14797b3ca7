"""Sheets of the book, what lies beside them, and a check of the book as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import Any

from fairpull.show import json_parts as parts
from fairpull.show.json_parts import Json
from fairpull.terms.bench import Attachment, BookCheck, Remark, Sheet
from fairpull.terms.findings import Finding

SCHEMA = "fairpull/sheet"
PAPERS_SCHEMA = "fairpull/papers"
CHECK_SCHEMA = "fairpull/book-check"
SCHEMA_VERSION = 1


def sheet_to_json(
    sheet: Sheet,
    findings: Sequence[Finding] = (),
    notes: Sequence[Remark] = (),
    laid: Sequence[Attachment] = (),
    places: Mapping[str, str] | None = None,
) -> Json:
    """A sheet as a document: its text entry by entry as written, and the papers beside it.

    Args:
        sheet: as kept.
        findings: what it means.
        notes, laid: remarks and attachments about it.
        places: content hash -> the file's place below the book's folder.

    Returns:
        Plain data.
    """
    return {
        "schema": SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "kind": sheet.kind,
        "name": sheet.name,
        "version": sheet.version,
        "added_at": parts.number(sheet.added_at, "s"),
        "body": _plain(sheet.body),
        "findings": parts.findings(findings),
        **papers_to_json(notes, laid, places or {}),
    }


def papers_to_json(notes: Sequence[Remark], laid: Sequence[Attachment], places: Mapping[str, str]) -> Json:
    """Remarks and attachments as plain data; arguments as for ``sheet_to_json``."""
    return {
        "remarks": [{"text": one.text, "by": one.by, "added_at": parts.number(one.added_at, "s")} for one in notes],
        "attachments": [
            {
                "file": one.file_name,
                "note": one.note,
                "sha256": one.sha256,
                "place": places.get(one.sha256, ""),
                "added_at": parts.number(one.added_at, "s"),
            }
            for one in laid
        ],
    }


def papers_document(
    about: tuple[str, str], notes: Sequence[Remark], laid: Sequence[Attachment], places: Mapping[str, str]
) -> Json:
    """Papers beside something as a document of their own; arguments as for ``sheet_to_json``."""
    head: Json = {"schema": PAPERS_SCHEMA, "schema_version": SCHEMA_VERSION, "kind": about[0], "name": about[1]}
    return {**head, **papers_to_json(notes, laid, places)}


def check_to_json(check: BookCheck) -> Json:
    """A check of the book as a document."""
    return {
        "schema": CHECK_SCHEMA,
        "schema_version": SCHEMA_VERSION,
        "sound": not any(finding.severity.value == "fault" for finding in check.findings),
        "looked_at": dict(check.looked_at),
        "findings": parts.findings(check.findings),
    }


def _plain(value: Any) -> Any:
    """What TOML holds and JSON does not: dates and times as text."""
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date | datetime | time) else value
