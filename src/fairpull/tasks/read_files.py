"""Read log files, or join two logs of one pull."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from fairpull import logs
from fairpull.tasks.progress import Progress, silent
from fairpull.terms.errors import FairpullError, Fault, ReadRefused
from fairpull.terms.recording import Recording


def read_files(files: Iterable[str | Path], progress: Progress = silent, **options: Any) -> tuple[Recording, ...]:
    """Read files of any known format.

    Args:
        files: paths.
        progress: is told of each file before it is read.
        options: fields of ``ReadOptions``.

    Returns:
        The recordings, in order.

    Raises:
        ReadRefused: all faults of all files at once.
    """
    asked = logs.ReadOptions(**options)
    recordings: list[Recording] = []
    faults: list[Fault] = []
    paths = [Path(path) for path in files]
    for number, path in enumerate(paths, start=1):
        progress(path, number, len(paths))
        try:
            recordings += logs.read(path, asked)
        except FairpullError as error:
            faults += error.faults
    if faults:
        raise ReadRefused(faults)
    return tuple(recordings)


def join_files(brake: Path, other: Path, **options: Any) -> Recording:
    """Join the brake's log and another logger's log of the same pull.

    Args:
        brake: the brake's log; its clock is kept.
        other: the engine controller's log.
        options: fields of ``ReadOptions``, for both.

    Returns:
        One recording on the brake's clock, with lag, clock drift and misfit.

    Raises:
        ReadRefused: a file holds not exactly one recording, or the two do not fit.
    """
    pair = [read_files([path], **options) for path in (brake, other)]
    faults = [
        Fault("join-several", str(path), f"{len(found)} recordings in the file", "give a file that holds one recording")
        for path, found in zip((brake, other), pair, strict=True)
        if len(found) != 1
    ]
    if faults:
        raise ReadRefused(faults)
    return logs.join(pair[0][0], pair[1][0])


def write_recording(recording: Recording, path: Path) -> Path:
    """Write a recording as Parquet with house names and units, so that it reads back as it is.

    Args:
        recording: what to write.
        path: target; appears whole or not at all.

    Returns:
        The path.
    """
    import polars

    from fairpull.terms.units import house_unit_of

    columns = {f"{name} [{house_unit_of(name)}]": values for name, values in recording.channels.items()}
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f"{path.name}.part")
    try:
        polars.DataFrame(columns).write_parquet(unfinished)
        return unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
