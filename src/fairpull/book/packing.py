"""One file that holds many: .tar or .zip, written and read by their open formats, hashed on the way."""

from __future__ import annotations

import hashlib
import io
import os
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, Protocol

from fairpull.book.staging import BLOCK
from fairpull.terms.errors import BookRefused, Fault

ENDINGS = (".tar", ".zip")
LARGEST_LIST = 1 << 28  # bytes of a list of files that anybody would write


def check_ending(file: Path) -> None:
    """Refuse a file name that does not say which kind of archive it is.

    Args:
        file: to be written.

    Raises:
        BookRefused: it ends otherwise.
    """
    if file.suffix.lower() not in ENDINGS:
        remedy = f"end its name in {' or '.join(ENDINGS)}"
        raise BookRefused(Fault("archive-ending", str(file), f"ending {file.suffix or 'none'}", remedy))


class Packer(Protocol):
    """Takes files into an archive."""

    def add(self, name: str, source: Path) -> dict[str, Any]:
        """Add a file; gives back its size and hash, of the bytes that went in."""

    def add_bytes(self, name: str, content: bytes) -> None:
        """Add a file's content."""


class Unpacker(Protocol):
    """Gives files of an archive out. KeyError where a file is not in it, or is no plain file."""

    def read(self, name: str) -> bytes:
        """A small file's content."""

    def unpack(self, name: str, target: Path, size: int) -> tuple[int, str]:
        """Write a file out, at most one byte more than ``size``; gives back its size and hash."""


@contextmanager
def packer(file: Path) -> Iterator[Packer]:
    """A new archive; when the block ends, the disk has it.

    Args:
        file: to be written; its ending says which kind.

    Yields:
        What takes the files.
    """
    with file.open("wb") as raw:
        if file.suffix.lower() == ".zip":
            with zipfile.ZipFile(raw, "w", zipfile.ZIP_STORED, allowZip64=True) as archive:
                yield _Zip(archive)
        else:
            with tarfile.open(fileobj=raw, mode="w", format=tarfile.PAX_FORMAT) as tar:
                yield _Tar(tar)
        raw.flush()
        os.fsync(raw.fileno())


@contextmanager
def unpacker(file: Path) -> Iterator[Unpacker]:
    """An archive to read, whatever its name says.

    Args:
        file: the archive.

    Yields:
        What gives its files.

    Raises:
        BookRefused: no archive, or a damaged one.
    """
    with file.open("rb") as raw:
        try:
            if zipfile.is_zipfile(raw):
                raw.seek(0)
                with zipfile.ZipFile(raw) as archive:
                    yield _Unzip(archive)
            else:
                raw.seek(0)
                with tarfile.open(fileobj=raw, mode="r:") as tar:
                    yield _Untar(tar)
        except (tarfile.TarError, zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, struct.error) as error:
            remedy = "name a file that fairpull book backup wrote, or take an older backup"
            raise BookRefused(Fault("backup-damaged", str(file), str(error), remedy)) from error


class _Zip:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive

    def add(self, name: str, source: Path) -> dict[str, Any]:
        with source.open("rb") as file, self._archive.open(_entry(name), "w", force_zip64=True) as into:
            size, found = _copied(file, into)
        return {"size": size, "sha256": found}

    def add_bytes(self, name: str, content: bytes) -> None:
        self._archive.writestr(_entry(name), content)


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    # Traces are compressed already; everything else gains.
    entry.compress_type = zipfile.ZIP_STORED if name.endswith(".parquet") else zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


class _Tar:
    def __init__(self, archive: tarfile.TarFile) -> None:
        self._archive = archive

    def add(self, name: str, source: Path) -> dict[str, Any]:
        with source.open("rb") as file:
            entry = tarfile.TarInfo(name)
            entry.size = os.fstat(file.fileno()).st_size
            hashing = _Hashing(file)
            self._archive.addfile(entry, hashing)
        return {"size": entry.size, "sha256": hashing.digest.hexdigest()}

    def add_bytes(self, name: str, content: bytes) -> None:
        entry = tarfile.TarInfo(name)
        entry.size = len(content)
        self._archive.addfile(entry, io.BytesIO(content))


class _Hashing(io.RawIOBase):
    """A file that is hashed while it is read."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self.digest = hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        block = self._file.read(size)
        self.digest.update(block)
        return block


class _Unzip:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive

    def read(self, name: str) -> bytes:
        with self._archive.open(name) as file:
            return file.read(LARGEST_LIST)

    def unpack(self, name: str, target: Path, size: int) -> tuple[int, str]:
        with self._archive.open(name) as file, target.open("wb") as into:
            return _copied(file, into, size + 1)


class _Untar:
    def __init__(self, archive: tarfile.TarFile) -> None:
        self._archive = archive
        self._entries = {entry.name: entry for entry in archive.getmembers() if entry.isreg()}

    def _open(self, name: str) -> IO[bytes]:
        file = self._archive.extractfile(self._entries[name])
        if file is None:
            raise KeyError(name)
        return file

    def read(self, name: str) -> bytes:
        with self._open(name) as file:
            return file.read(LARGEST_LIST)

    def unpack(self, name: str, target: Path, size: int) -> tuple[int, str]:
        with self._open(name) as file, target.open("wb") as into:
            return _copied(file, into, size + 1)


def _copied(source: IO[bytes], target: IO[bytes], most: int | None = None) -> tuple[int, str]:
    """Copy; gives back how many bytes, and their hash."""
    digest, size = hashlib.sha256(), 0
    while block := source.read(BLOCK if most is None else min(BLOCK, most - size)):
        digest.update(block)
        size += target.write(block)
    return size, digest.hexdigest()
