"""A PostgreSQL server of the tests' own: in a temporary folder, on a socket there."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

REQUIRE_VARIABLE = "SWAYTRAINER_REQUIRE_POSTGRES"
#: The server refuses to run as root.
_USER = "postgres" if os.name == "posix" and os.geteuid() == 0 else None


def programs() -> Path | None:
    """Where the server's programs are; None if there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    where = shutil.which("initdb")
    return None if where is None else Path(where).resolve().parent


def require() -> Path:
    """The programs' folder; skips, or fails where the server must be there."""
    found = programs()
    if found is None:
        reason = "no PostgreSQL server is installed (Debian: postgresql)"
        if os.environ.get(REQUIRE_VARIABLE) == "1":
            pytest.fail(reason, pytrace=False)
        pytest.skip(reason)
    return found


class Server:
    """A server that can be stopped and started again."""

    def __init__(self, programs: Path) -> None:
        self._programs = programs
        self.folder = Path(tempfile.mkdtemp(prefix="hall-"))
        self._databases = 0
        if _USER is not None:
            shutil.chown(self.folder, _USER, _USER)
        self._run("initdb", "-D", "data", "-U", "club", "-A", "trust", "-E", "UTF8", "--no-sync")
        self.start()

    def _run(self, program: str, *words: str) -> None:
        subprocess.run(
            [str(self._programs / program), *words],
            cwd=self.folder,
            user=_USER,
            group=_USER,
            extra_groups=None if _USER is None else [],
            check=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def start(self) -> None:
        options = f"-k {self.folder} -c listen_addresses='' -c fsync=off"
        self._run("pg_ctl", "-D", "data", "-w", "-l", "log", "-o", options, "start")

    def stop(self) -> None:
        """At once, as a power cut would."""
        self._run("pg_ctl", "-D", "data", "-w", "-m", "immediate", "stop")

    def new_database(self) -> str:
        """The URL of an empty database."""
        self._databases += 1
        name = f"hall{self._databases}"
        self._run("createdb", "-h", str(self.folder), "-U", "club", name)
        return f"postgresql://club@/{name}?host={self.folder}"

    def close(self) -> None:
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)
