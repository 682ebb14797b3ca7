"""A real PostgreSQL for the tests: found, started, and given back."""

from __future__ import annotations

import getpass
import os
import pwd
import secrets
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest


def server_folder() -> Path | None:
    """The newest folder that holds PostgreSQL's server programs."""
    asked = shutil.which("pg_config")
    if asked:
        said = subprocess.run([asked, "--bindir"], capture_output=True, text=True, check=False).stdout.strip()
        if said and (Path(said) / "initdb").exists():
            return Path(said)
    installed = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"),
        key=lambda path: float(path.parts[-3]) if path.parts[-3].replace(".", "", 1).isdigit() else 0.0,
    )
    found = shutil.which("initdb")
    return installed[-1].parent if installed else Path(found).parent if found else None


def unprivileged() -> str | None:
    """A user to run as: the server refuses to run as root."""
    if os.geteuid() != 0:
        return getpass.getuser()
    names = {entry.pw_name for entry in pwd.getpwall()}
    return next((name for name in ("postgres", "nobody") if name in names), None)


def roomy_memory() -> str | None:
    """A folder in memory, where a server that lives for minutes makes no disk wait; None: the usual place."""
    memory = Path("/dev/shm")
    roomy = memory.is_dir() and os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > 1 << 30
    return str(memory) if roomy else None


class Server:
    """A PostgreSQL server of these tests' own, on a Unix socket in a folder of its own."""

    def __init__(self, programs: Path, user: str) -> None:
        self.home = Path(tempfile.mkdtemp(prefix="fp-pg-", dir=roomy_memory()))
        self.home.chmod(0o755)
        self.user = user
        self.programs = programs
        self.port = 20000 + secrets.randbelow(40000)
        if os.geteuid() == 0:
            shutil.chown(self.home, user)
        self.run("initdb", "-D", str(self.home / "data"), "-U", "bench", "-A", "trust", "-N", "-E", "UTF8")

    def run(self, program: str, *words: str) -> None:
        as_user = {"user": self.user} if os.geteuid() == 0 else {}
        subprocess.run(
            [str(self.programs / program), *words],
            check=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            cwd=self.home,
            env={"PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8", "TZ": "UTC"},
            **as_user,  # type: ignore[call-overload]
        )

    def start(self) -> None:
        said = f"-F -k {self.home} -p {self.port} -c listen_addresses='' -c max_connections=60 -c shared_buffers=32MB"
        self.run(
            "pg_ctl", "-D", str(self.home / "data"), "-w", "-t", "60", "-l", str(self.home / "log"), "-o", said, "start"
        )

    def stop(self) -> None:
        self.run("pg_ctl", "-D", str(self.home / "data"), "-w", "-m", "immediate", "stop")

    def url(self, schema: str = "") -> str:
        options = f"&options=-csearch_path%3D{schema}" if schema else ""
        return f"postgresql://bench@/postgres?host={self.home}&port={self.port}{options}"

    def new_schema(self) -> str:
        """URL of an empty schema of its own."""
        schema = f"t{secrets.token_hex(6)}"
        self.say(f"CREATE SCHEMA {schema}")
        return self.url(schema)

    def say(self, *lines: str) -> None:
        """Run statements, each in a transaction of its own."""
        import psycopg

        with psycopg.connect(self.url(), autocommit=True) as connection:
            for line in lines:
                connection.execute(line.encode())


def new_server() -> Server:
    """A running server; skips where there is none."""
    pytest.importorskip("psycopg", reason="psycopg is not installed (the extra fairpull[postgres])")
    programs, user = server_folder(), unprivileged()
    if programs is None:
        pytest.skip("no PostgreSQL server here (Debian: apt-get install postgresql)")
    if user is None:
        pytest.skip("PostgreSQL refuses to run as root, and there is no user postgres or nobody here")
    server = Server(programs, user)
    server.start()
    return server
