"""A PostgreSQL server of the tests' own, on loopback, from the system's package.

The server refuses to run as root: it is then run as `postgres`, or as `nobody`, in a folder of that user.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterable
from itertools import count
from pathlib import Path

import psycopg

from store.address import Place, ServerAddress, place_of

_USER = "rail"
_QUICK = ("-c", "fsync=off", "-c", "full_page_writes=off")
_LIGHT = ("-c", "shared_buffers=16MB", "-c", "max_connections=60", "-c", "autovacuum=off", "-c", "max_wal_senders=0")


def programs() -> Path | None:
    """Where the server's programs lie; None where it is not installed."""
    known = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: float(path.parent.name))
    for folder in (*reversed(known), *(Path(found).resolve().parent for found in _on_path())):
        if (folder / "postgres").exists() and (folder / "initdb").exists():
            return folder
    return None


class Server:
    """A server with a superuser that needs no password."""

    def __init__(self, programs: Path) -> None:
        self._programs = programs
        self._names = (f"barn_{n}" for n in count())
        self._as = _unprivileged()
        self._folder = Path(tempfile.mkdtemp(prefix="railside-server-"))
        if self._as:
            os.chown(self._folder, self._as["user"], self._as["group"])
        self._data = self._folder / "data"
        self.port = _free_port()
        making = ["--no-sync", "--auth=trust", f"--username={_USER}", "--encoding=UTF8", "--locale=C"]
        self._run("initdb", *making, "--no-instructions", f"--pgdata={self._data}")
        self.start()

    def start(self, *, durable: bool = False) -> None:
        """Starts it; it answers when this returns. `durable`: it waits for the disk, as real ones do."""
        quick = () if durable else _QUICK
        words = ["-p", str(self.port), "-h", "127.0.0.1", "-k", str(self._folder), *quick, *_LIGHT]
        log = self._folder / "log"
        self._run("pg_ctl", "start", "-w", "-t", "60", f"-D{self._data}", f"-l{log}", "-o", " ".join(words))

    def stop(self, how: str = "immediate") -> None:
        """Ends it, by default as if the power had gone."""
        self._run("pg_ctl", "stop", "-w", "-t", "60", "-m", how, f"-D{self._data}")

    def answers(self) -> bool:
        """Whether it runs."""
        with socket.socket() as asking:
            return asking.connect_ex(("127.0.0.1", self.port)) == 0

    def remove(self) -> None:
        """Ends it and takes its files away."""
        try:
            if self.answers():
                self.stop()
        finally:
            shutil.rmtree(self._folder, ignore_errors=True)

    def address(self, name: str = "postgres", *, user: str = _USER) -> ServerAddress:
        """The address of a database."""
        found = place_of(f"postgresql+psycopg://{user}@127.0.0.1:{self.port}/{name}")
        assert isinstance(found, ServerAddress)
        return found

    def new_database(self, model: str = "template0") -> ServerAddress:
        """A database of its own, empty or like another one."""
        name = next(self._names)
        self.run(f"CREATE DATABASE {name} TEMPLATE {model}")
        return self.address(name)

    def run(self, statement: str, *, on: ServerAddress | None = None, given: Iterable[object] = ()) -> list[tuple]:
        """Runs one statement with a bare connection; its rows."""
        with self.connect(on or self.address()) as bare:
            done = bare.execute(statement, tuple(given) or None)
            return done.fetchall() if done.description else []

    def connect(self, address: ServerAddress) -> psycopg.Connection:
        """A bare connection, which keeps everything at once."""
        return psycopg.connect(
            host="127.0.0.1", port=self.port, user=_USER, dbname=address.name, autocommit=True
        )

    def end_connections(self, address: Place) -> int:
        """Kills whatever serves a database; how many that were."""
        assert isinstance(address, ServerAddress)
        return len(
            self.run(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = %s AND pid <> pg_backend_pid()",
                given=(address.name,),
            )
        )

    def _run(self, program: str, *words: str) -> None:
        done = subprocess.run(
            [str(self._programs / program), *words],
            cwd=self._folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "LC_ALL": "C"},
            **self._as,
        )
        if done.returncode:
            log = self._folder / "log"
            raise RuntimeError(f"{program} failed: {done.stderr} {log.read_text() if log.exists() else ''}")


def _on_path() -> list[str]:
    found = shutil.which("postgres")
    return [found] if found else []


def _unprivileged() -> dict[str, int | list[int]]:
    """How to run a program as somebody who may run the server; nothing for one who is not root."""
    if os.geteuid() != 0:
        return {}
    import pwd

    for name in ("postgres", "nobody"):
        try:
            who = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": who.pw_uid, "group": who.pw_gid, "extra_groups": []}
    raise RuntimeError("there is no user on this system that may run a PostgreSQL server")


def _free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])
