"""Programs that are killed in the middle of their work on a book, and programs that work on it at once.

On demand: ``python -m tests.book.kill_many 200`` kills 200 programs at random moments while they take in, migrate,
compact, back up and make books; ``python -m tests.book.kill_many --writers 2 --files 500`` has two programs take in 500
files each at once; ``--database URL`` (a PostgreSQL database, in schemas of their own) does either there. The test
suite runs the same with small numbers. It prints a JSON report and ends with status 1 where anything went wrong.

``--steps`` kills programs not at random moments but at each of their steps in turn: each file that is opened, renamed,
made or removed, each statement that the catalogue is given.

Programs are forked from one that has everything imported, so that hundreds take seconds; the parent itself never opens
a book, so that no lock, thread or connection is inherited.
"""

from __future__ import annotations

import argparse
import functools
import json
import os
import random
import secrets
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import alembic.autogenerate
import alembic.runtime.environment
import polars
import sqlalchemy.dialects.sqlite

from fairpull import book
from fairpull.book import archive, check, compaction, export, imports, opening
from fairpull.terms.bench import Sheet
from fairpull.terms.findings import Severity
from tests.book.making import BUILD_SHEETS, batch, stray_files
from tests.book.sample_books import load

HEAVY = (alembic.autogenerate, alembic.runtime.environment, polars, sqlalchemy.dialects.sqlite)
ROOMS = (archive, check, compaction, export, imports, opening)
"""Imported here so that no forked program spends its time on it."""

Say = Callable[[str], object]
Work = Callable[["Place", Say], None]


@dataclass
class Place:
    """Where the killed programs work."""

    folder: Path
    database: str = ""
    seed: int = 0

    @property
    def bench(self) -> Path:
        return self.folder / "bench"

    def open(self) -> book.Book:
        return book.open_book(self.bench, database=self.database)


@dataclass
class Report:
    """What came of it."""

    kills: Counter[str] = field(default_factory=Counter)
    before_work: int = 0  # killed before the first word
    ended: int = 0  # had ended by itself
    left: int = 0  # left something in staging/
    reported: int = 0  # pulls, backups ... that the killed programs had reported
    faults: list[str] = field(default_factory=list)


def fork(work: Callable[[Say], object]) -> tuple[int, int]:
    """Start a program; returns its process and the end of a pipe on which it speaks."""
    ours, theirs = os.pipe()
    process = os.fork()
    if process:
        os.close(theirs)
        return process, ours
    status = 1
    try:
        os.close(ours)
        work(lambda text: os.write(theirs, f"{text}\n".encode()))
        status = 0
    except BaseException:  # noqa: BLE001 -- the forked program must end here, whatever happens
        os.write(theirs, f"! {traceback.format_exc()}\n".encode())
    finally:
        os._exit(status)


def heard(pipe: int) -> list[str]:
    """All that a program said until it ended."""
    with os.fdopen(pipe, "rb") as file:
        return file.read().decode("utf-8").splitlines()


def in_a_program(work: Callable[[Say], object]) -> list[str]:
    """Let a program do something to its end, and hear what it says."""
    process, pipe = fork(work)
    said = heard(pipe)
    os.waitpid(process, 0)
    return said


def killed_after(delay: float, work: Callable[[Say], object], *, once_ready: bool) -> tuple[list[str], bool]:
    """Start a program, kill it, and hear what it had said; and whether it was still at work."""
    process, pipe = fork(work)
    first = os.read(pipe, 6) if once_ready else b""
    time.sleep(delay)
    os.kill(process, signal.SIGKILL)
    said = heard(pipe)
    _, status = os.waitpid(process, 0)
    return [line for line in (first.decode().strip(), *said) if line], os.WIFSIGNALED(status)


# --- the works that are killed -------------------------------------------------------------------------------------


def take_in(place: Place, say: Say) -> None:
    """Take in one file after another, two pulls each; say each name once it is reported as taken."""
    with place.open() as kept:
        say("ready")
        for index in range(10_000):
            name = f"run-{place.seed}-{index}"
            coming = batch(place.folder / "logs", name, seed=place.seed * 1000 + index, pieces=2)
            for taken in kept.take(coming.pulls, coming.files).kept:
                say(f"pull {taken}")


def take_many(place: Place, say: Say) -> None:
    """Take in twenty files in one call, again and again."""
    with place.open() as kept:
        say("ready")
        for index in range(1000):
            coming = batch(place.folder / "logs", f"many-{place.seed}-{index}-0", seed=index)
            for file in range(1, 20):
                coming += batch(place.folder / "logs", f"many-{place.seed}-{index}-{file}", seed=file)
            for taken in kept.take(coming.pulls, coming.files).kept:
                say(f"pull {taken}")


def attach(place: Place, say: Say) -> None:
    """Lay papers beside a build."""
    with place.open() as kept:
        say("ready")
        for index in range(10_000):
            photo = place.folder / "logs" / f"photo-{place.seed}-{index}.jpg"
            photo.write_bytes(f"{place.seed} {index}".encode() * 2000)
            kept.attach(photo, ("build", "cam B"), photo.name)
            say(f"paper {photo.name}")


def compact(place: Place, say: Say) -> None:
    """Compact, take in and compact again."""
    with place.open() as kept:
        say("ready")
        for index in range(10_000):
            coming = batch(place.folder / "logs", f"small-{place.seed}-{index}", seed=index, pieces=2)
            for taken in kept.take(coming.pulls, coming.files).kept:
                say(f"pull {taken}")
            kept.compact()


def back_up(place: Place, say: Say) -> None:
    """Write one backup after another."""
    with place.open() as kept:
        say("ready")
        for index in range(10_000):
            target = kept.backup(place.folder / "backups" / f"{place.seed}-{index}.zip")
            say(f"backup {target.name}")


def migrate(place: Place, say: Say) -> None:
    """Open a book with an old schema."""
    say("ready")
    with place.open() as kept:
        say("migrated")
        kept.set("seed", str(place.seed))
        say("set")


def make(place: Place, say: Say) -> None:
    """Make a book."""
    say("ready")
    with book.create(place.bench, database=place.database) as made:
        say("made")
        made.keep(BUILD_SHEETS)
        say("kept")


WORKS: dict[str, tuple[Work, float]] = {
    "take": (take_in, 0.25),
    "take many": (take_many, 0.5),
    "attach": (attach, 0.1),
    "compact": (compact, 0.4),
    "back up": (back_up, 0.3),
    "migrate": (migrate, 0.05),
    "make": (make, 0.06),
}
"""What is killed, and the longest time until it is [s]."""
A_BOOK_SERVES = 20
"""Kills in the same book, until it is grown so large that checking it takes long."""
OF_ITS_OWN = ("migrate", "make")
"""Works that start from a book of their own; the others go on in the same one."""
ORDER = ("take", "migrate", "take many", "back up", "take", "make", "migrate", "compact", "back up", "attach")


# --- looking after a kill ------------------------------------------------------------------------------------------


def look_after(place: Place, reported: list[str], say: Say) -> None:
    """Say everything that is wrong with a book after its program was killed."""
    with place.open() as kept:
        first = kept.check()
        for finding in first.findings:
            if finding.severity is not Severity.NOTE:
                say(f"check: {finding.code}, {finding.where}: {finding.text}")
        for finding in kept.check().findings if first.findings else ():
            say(f"second check: {finding.code}, {finding.where}: {finding.text}")
        for fault in stray_files(kept):
            say(fault)
        names = {line.name for line in kept.pulls()}
        papers = {paper.file_name for paper in kept.attachments()}
        for word, _, name in (line.partition(" ") for line in reported):
            if (word == "pull" and name not in names) or (word == "paper" and name not in papers):
                say(f"reported as kept, but missing: {word} {name}")
        for name in [line.removeprefix("backup ") for line in reported if line.startswith("backup ")][-1:]:
            restored = Path(tempfile.mkdtemp(dir=place.folder)) / "again"
            with book.restore(place.folder / "backups" / name, restored) as again:
                if again.check().findings:
                    say(f"backup {name} is not whole: {again.check().findings}")
        # It goes on working.
        kept.keep([Sheet("part", "after", {"seed": place.seed})])


def look_after_migration(place: Place, reported: list[str], say: Say) -> None:
    """Say everything that is wrong with an old book whose migration was killed."""
    with place.open() as kept:
        if len(kept.pulls(full=True)) != 3 or not all(line.figures for line in kept.pulls(full=True)):
            say("the old book's pulls or figures are not whole")
        if "set" in reported and kept.settings().get("seed") != str(place.seed):
            say("reported as set, but missing")
    look_after(place, reported, say)


def look_after_making(place: Place, reported: list[str], say: Say) -> None:
    """Say everything that is wrong with a book whose making was killed."""
    found = book.find_book(place.bench) if place.bench.is_dir() else None
    if "made" in reported and found is None:
        say("reported as made, but there is none")
    if found is None:
        book.create(place.bench, database=place.database).close()
    with place.open() as kept:
        if "kept" in reported and len(kept.sheets("build")) != 2:
            say("reported as kept, but missing")
    look_after(place, reported, say)


LOOKS = {"migrate": look_after_migration, "make": look_after_making}


# --- many of them --------------------------------------------------------------------------------------------------


def kill_many(count: int, seed: int, fresh: Callable[[], str] = str) -> Report:
    """Kill programs at random moments and look at the book after each.

    Args:
        count: how many.
        seed: of the moments.
        fresh: gives the URL of an empty PostgreSQL schema each time; "" for SQLite.

    Returns:
        What came of it.
    """
    draw = random.Random(seed)
    report = Report()
    home = Path(tempfile.mkdtemp(prefix="fp-kill-"))
    shared = Place(home / "none")
    for index in range(count):
        if index % A_BOOK_SERVES == 0:
            shared = Place(home / f"shared-{index}", fresh())
            report.faults += in_a_program(lambda say: _start(shared))  # noqa: B023
        kind = ORDER[index % len(ORDER)]
        place = shared
        if kind in OF_ITS_OWN:
            place = Place(home / str(index), fresh())
            place.folder.mkdir()
        place.seed = index
        _kill_one(kind, place, draw, report)
        if kind in OF_ITS_OWN:
            shutil.rmtree(place.folder)
        else:
            for left in shared.folder.glob("tmp*"):
                shutil.rmtree(left)
    shutil.rmtree(home)
    return report


def _start(place: Place) -> None:
    (place.folder / "logs").mkdir(parents=True, exist_ok=True)
    with book.create(place.bench, database=place.database) as made:
        made.keep(BUILD_SHEETS)


def left_behind(place: Place) -> bool:
    """Whether a killed program left files on their way."""
    staging = place.bench / "staging"
    return staging.is_dir() and any(staging.iterdir())


def _kill_one(kind: str, place: Place, draw: random.Random, report: Report) -> None:
    work, longest = WORKS[kind]
    if kind == "migrate":
        report.faults += in_a_program(lambda say: load("0001", place.bench, place.database))
    delay, once_ready = draw.uniform(0.0, longest), draw.random() < 0.8
    said, at_work = killed_after(delay, lambda say: work(place, say), once_ready=once_ready)
    report.kills[kind] += 1
    report.before_work += not said
    report.ended += not at_work
    report.left += left_behind(place)
    report.reported += sum(not line.startswith(("ready", "!")) for line in said)
    report.faults += [line for line in said if line.startswith("!")]
    looking = LOOKS.get(kind, look_after)
    faults = in_a_program(lambda say: looking(place, said, say))
    report.faults += [f"{kind} {place.seed}: {fault}" for fault in faults]


# --- at every step -------------------------------------------------------------------------------------------------

STEPS = {"open", "os.rename", "os.mkdir", "os.remove", "os.rmdir"}


def take_two(place: Place, say: Say) -> None:
    """Take in two files with three pulls in one call."""
    with place.open() as kept:
        coming = batch(place.folder / "logs", "one", 1, pieces=2) + batch(place.folder / "logs", "other", 2)
        armed()
        for taken in kept.take(coming.pulls, coming.files).kept:
            say(f"pull {taken}")


def gather(place: Place, say: Say) -> None:
    """Compact a book of three pulls."""
    with place.open() as kept:
        coming = batch(place.folder / "logs", "one", 1, pieces=2) + batch(place.folder / "logs", "other", 2)
        for taken in kept.take(coming.pulls, coming.files).kept:
            say(f"pull {taken}")
        armed()
        kept.compact()


def migrate_one(place: Place, say: Say) -> None:
    """Open a book with an old schema."""
    armed()
    place.open().close()
    say("migrated")


def make_one(place: Place, say: Say) -> None:
    """Make a book."""
    armed()
    book.create(place.bench, database=place.database).close()
    say("made")


STEPPED: dict[str, Work] = {"take": take_two, "gather": gather, "migrate": migrate_one, "make": make_one}
_steps_left = [0]


def armed() -> None:
    """From here on each step counts, and the last one is not taken: the program is killed before it."""
    limit = _steps_left[0]
    taken = [0]

    def step(*_: object) -> None:
        taken[0] += 1
        if taken[0] == limit:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(lambda event, words: step() if event in STEPS else None)
    sqlalchemy.event.listen(sqlalchemy.Engine, "before_cursor_execute", step)
    sqlalchemy.event.listen(sqlalchemy.Engine, "commit", step)


def kill_at_every_step(kind: str, stride: int = 1, first: int = 1) -> dict[str, Any]:
    """Kill a program before each of its steps in turn, and look at the book each time.

    Args:
        kind: of work, one of STEPPED.
        stride: take each so many-th step only.
        first: the first step.

    Returns:
        Number of kills, how many left something behind, and faults.
    """
    home = Path(tempfile.mkdtemp(prefix="fp-step-"))
    faults: list[str] = []
    kills = left = 0
    at_work = True
    while at_work:
        place = Place(home / str(kills), seed=kills)
        place.folder.mkdir()
        if kind in ("take", "gather"):
            faults += in_a_program(lambda say: _start(place))  # noqa: B023
        elif kind == "migrate":
            faults += in_a_program(lambda say: load("0001", place.bench))  # noqa: B023
        _steps_left[0] = first + kills * stride
        process, pipe = fork(lambda say: STEPPED[kind](place, say))  # noqa: B023
        said = heard(pipe)
        at_work = os.WIFSIGNALED(os.waitpid(process, 0)[1])
        kills += at_work
        left += left_behind(place)
        faults += [line for line in said if line.startswith("!")]
        looking = LOOKS.get(kind, look_after)
        found = in_a_program(lambda say: looking(place, said, say))  # noqa: B023
        faults += [f"{kind}, step {_steps_left[0]}: {fault}" for fault in found]
        shutil.rmtree(place.folder)
    shutil.rmtree(home)
    return {"kills": kills, "left": left, "faults": faults}


# --- at once -------------------------------------------------------------------------------------------------------


def at_once(writers: int, files: int, common: int = 10, database: str = "") -> dict[str, Any]:
    """Programs that take in files at once, each its own and all of them some common ones.

    Args:
        writers: how many programs.
        files: how many files each takes in that no other has.
        common: how many files all of them take in.
        database: URL of an empty PostgreSQL database; "" for SQLite.

    Returns:
        How many pulls were reported and are there; faults.
    """
    home = Path(tempfile.mkdtemp(prefix="fp-once-"))
    place = Place(home, database)
    faults = in_a_program(lambda say: _start(place))
    started = time.monotonic()
    programs = [fork(functools.partial(_take_mine, place, writer, files, common)) for writer in range(writers)]
    said = [line for _, pipe in programs for line in heard(pipe)]
    for process, _ in programs:
        os.waitpid(process, 0)
    seconds = time.monotonic() - started
    told = [line.removeprefix("pull ") for line in said if line.startswith("pull ")]
    faults += [line for line in said if not line.startswith("pull ")]
    names = in_a_program(lambda say: _say_names(place, say))
    faults += in_a_program(lambda say: look_after(place, said, say))
    if len(set(told)) != len(told):
        faults.append("a pull was reported by two programs")
    if sorted(names) != sorted(told) or len(names) != writers * files + common:
        faults.append(f"{len(told)} reported, {len(names)} there, {writers * files + common} expected")
    shutil.rmtree(home)
    return {"pulls": len(names), "reported": len(told), "seconds": round(seconds, 2), "faults": faults}


def _take_mine(place: Place, writer: int, files: int, common: int, say: Say) -> None:
    mine = [(f"run-{writer}-{index}", writer * 10_000 + index) for index in range(files)]
    mine += [(f"common-{index}", 90_000 + index) for index in range(common)]
    random.Random(writer).shuffle(mine)
    with place.open() as kept:
        for name, seed in mine:
            folder = place.folder / f"logs-{writer}"
            coming = batch(folder, name, seed)
            for taken in kept.take(coming.pulls, coming.files).kept:
                say(f"pull {taken}")


def _say_names(place: Place, say: Say) -> None:
    with place.open() as kept:
        for line in kept.pulls():
            say(line.name)


def new_schema(database: str) -> str:
    """URL of a new schema in a PostgreSQL database; "" for SQLite."""
    if not database:
        return ""
    return in_a_program(lambda say: say(make_schema(database)))[0]


def make_schema(database: str) -> str:
    """Make a schema in a PostgreSQL database; returns the URL of the database with that schema in force."""
    import psycopg

    schema = f"k{secrets.token_hex(6)}"
    with psycopg.connect(database, autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {schema}".encode())
    return f"{database}{'&' if '?' in database else '?'}options=-csearch_path%3D{schema}"


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kills", type=int, nargs="?", default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--writers", type=int, default=0)
    parser.add_argument("--files", type=int, default=500)
    parser.add_argument("--database", default="")
    parser.add_argument("--steps", type=int, default=0, help="kill at each so many-th step")
    asked = parser.parse_args()
    told: dict[str, Any] = {"faults": []}
    if asked.kills:
        report = kill_many(asked.kills, asked.seed, functools.partial(new_schema, asked.database))
        told.update(kills=dict(report.kills), before_work=report.before_work, ended=report.ended, left=report.left)
        told["reported"] = report.reported
        told["faults"] += report.faults
    for kind in STEPPED if asked.steps else ():
        stepped = kill_at_every_step(kind, asked.steps, 1 + asked.seed % asked.steps)
        told["faults"] += stepped.pop("faults")
        told[f"steps of {kind}"] = stepped
    if asked.writers:
        once = at_once(asked.writers, asked.files, database=new_schema(asked.database))
        told["faults"] += once.pop("faults")
        told.update(once)
    print(json.dumps(told, indent=1))  # noqa: T201
    sys.exit(bool(told["faults"]))


if __name__ == "__main__":
    main()
