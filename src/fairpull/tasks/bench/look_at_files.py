"""Looking at offered files: what each is, column by column, and the pulls in it; nothing is kept.

Files are read as ``take`` reads them, so what is shown is what would be kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fairpull import pulls
from fairpull.tasks.bench import look_columns, look_preview, reading
from fairpull.tasks.bench.offered_orders import is_paper, order_of
from fairpull.tasks.bench.take import Order, Plan, content_hash, plans_of
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.offered import OfferedFile, OfferedPull, OfferedRecording, Typed
from fairpull.terms.recording import Recording

if TYPE_CHECKING:
    from fairpull.book import Book

Done = Callable[[OfferedFile], None]
"""Is told of each file when it has been looked at."""


def look_at_files(
    kept: Book, files: Sequence[Path], typed: Typed, called: Mapping[str, str], done: Done
) -> tuple[OfferedFile, ...]:
    """Look at files that are offered.

    Args:
        kept: the book, which is only read.
        files: the files.
        typed: what a person typed about them.
        called: file name -> what the person calls it.
        done: is told of each file when it has been looked at.

    Returns:
        One for each; a file that cannot be read carries all its faults.
    """
    found: list[OfferedFile] = []
    digests: dict[str, str] = {}
    for path in files:
        one = OfferedFile(path.name, called.get(path.name, path.name), path.stat().st_size)
        if is_paper(path):
            one = replace(one, paper=True)
        else:
            digest = content_hash(path)
            one = replace(
                _looked(kept, path, typed, one), already=kept.names_of(digest), twin=digests.setdefault(digest, "")
            )
            digests[digest] = digests[digest] or path.name
        found.append(one)
        done(one)
    return tuple(found)


def _looked(kept: Book, path: Path, typed: Typed, one: OfferedFile) -> OfferedFile:
    """One log: its format, its columns, its pulls, its faults."""
    faults: list[Fault] = []
    order, plan = _plan(kept, path, typed, faults)
    read = plan.read if plan else order.options.read
    if (path.parent / "channels.toml").is_file():
        read = replace(read, channels_file=None)  # as taking in does: the one beside the log knows it better
    one = look_columns.format_of(path, read, one)
    if plan:
        one = replace(one, build=plan.build.name, session=plan.session)
    try:
        recordings = reading.read_filled(path, read, plan.weather if plan else ())
    except FairpullError as error:
        faults += error.faults
        columns, sheets = look_columns.as_far_as_read(path, read)
        return replace(one, columns=columns, sheets=sheets, faults=_each(faults))
    offered = []
    for recording in recordings:
        try:
            offered.append(_recording(recording, plan))
        except FairpullError as error:
            faults += error.faults
            offered.append(look_preview.preview(recording))
    origin = recordings[0].origin
    return replace(
        one,
        format=origin.format,
        reason=origin.reason,
        detail=origin.detail,
        sheets=look_columns.sheets_of(path, origin.format),
        columns=look_columns.columns_of(recordings),
        recordings=tuple(offered),
        faults=_each(faults),
    )


def _plan(kept: Book, path: Path, typed: Typed, faults: list[Fault]) -> tuple[Order, Plan | None]:
    """How a file is to be read, as far as what was typed can be understood."""
    order, wrong = order_of(path, typed)
    faults += wrong
    try:
        return order, plans_of(kept, [order])[0]
    except FairpullError as error:
        faults += error.faults
        return order, None


def _recording(recording: Recording, plan: Plan | None) -> OfferedRecording:
    one = look_preview.preview(recording)
    found = pulls.find(recording, plan.clean) if plan else pulls.find(recording)
    known = set(recording.findings)
    offered = []
    for pull in found:
        start, end = look_preview.ends(recording, pull.first_row, pull.last_row)
        offered.append(
            OfferedPull(
                name=pull.name,
                kind=pull.kind,
                first_row=pull.first_row,
                last_row=pull.last_row,
                rows=len(pull.channels["rpm"]),
                start=start,
                end=end,
                rpm=look_preview.span(pull.channels["rpm"]),
                torque=look_preview.span(pull.channels["torque"]),
                sweep_rate=pull.sweep_rate,
                findings=tuple(finding for finding in pull.findings if finding not in known),
                choices={name: said for name, said in pull.choices.items() if recording.choices.get(name) != said},
            )
        )
    return replace(one, pulls=tuple(offered))


def _each(faults: Sequence[Fault]) -> tuple[Fault, ...]:
    return tuple(dict.fromkeys(faults))
