"""A PostgreSQL server for as long as something runs: `python -m tests.postgresql COMMAND…`.

The server comes from Debian's package. It is made in a temporary folder, is reached by a unix socket
only, runs as an unprivileged user (it refuses to run as root), and is stopped and removed afterwards.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

# Speed for tests that do not pull the plug: nothing needs to reach the disk.
CARELESS = ("fsync=off", "full_page_writes=off", "synchronous_commit=off")


class Cluster:
    """A server of our own; `with Cluster() as cluster:` starts it, and stops and removes it."""

    def __init__(self, *settings: str) -> None:
        self.settings = settings
        self.bin = self._programs()
        self.user = self._unprivileged()

    @staticmethod
    def _programs() -> Path:
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda each: each.parts[-3])
        on_path = shutil.which("initdb")
        if not found and not on_path:
            raise SystemExit("PostgreSQL's server is not installed: apt-get install postgresql.")
        return found[-1].parent if found else Path(str(on_path)).parent

    @staticmethod
    def _unprivileged() -> str | None:
        if os.getuid() != 0:
            return None
        for name in ("postgres", "nobody"):
            try:
                return pwd.getpwnam(name).pw_name
            except KeyError:
                continue
        raise SystemExit("There is no user postgres or nobody to run the server as.")

    def _run(self, *command: str) -> None:
        extra = {"user": self.user, "group": pwd.getpwnam(self.user).pw_gid, "extra_groups": []}
        done = subprocess.run(
            command,
            check=False,
            cwd="/",
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            **(extra if self.user else {}),
        )
        if done.returncode:
            log = self.folder / "log"
            said = log.read_text() if log.exists() else ""
            raise SystemExit(f"{' '.join(command)} failed:\n{done.stdout}\n{said}")

    def start(self) -> None:
        """Start the server in its folder, with the settings given."""
        asked = ["listen_addresses=", f"unix_socket_directories={self.folder}", *self.settings]
        options = " ".join(f"-c {each}" for each in asked)
        log = str(self.folder / "log")
        self._run(str(self.bin / "pg_ctl"), "-D", str(self.data), "-w", "-l", log, "-o", options, "start")

    def stop(self, how: str = "fast") -> None:
        """Stop it: fast, or `immediate` as if it had been killed."""
        self._run(str(self.bin / "pg_ctl"), "-D", str(self.data), "-w", "-m", how, "stop")

    def address(self, name: str = "postgres") -> str:
        """The address of a database of this server, as BATHBOOK_DATABASE takes it."""
        return f"postgresql://bathbook@/{name}?host={self.folder}"

    def __enter__(self) -> Cluster:
        # Not under TMPDIR: that may be a folder that only its owner may enter, and a socket's path is short.
        self.folder = Path(tempfile.mkdtemp(prefix="bathbook-pg-", dir="/tmp"))
        self.data = self.folder / "data"
        try:
            if self.user:
                os.chown(self.folder, pwd.getpwnam(self.user).pw_uid, pwd.getpwnam(self.user).pw_gid)
            self._run(
                *(str(self.bin / "initdb"), "-D", str(self.data), "-U", "bathbook", "-A", "trust"),
                *("-E", "UTF8", "--locale=C.UTF-8", "--no-sync", "--no-instructions"),
            )
            self.start()
        except BaseException:
            shutil.rmtree(self.folder, ignore_errors=True)
            raise
        return self

    def __exit__(self, *_: object) -> None:
        try:
            if (self.data / "postmaster.pid").exists():
                self.stop()
        finally:
            shutil.rmtree(self.folder, ignore_errors=True)


def main(command: list[str]) -> int:
    """Run a command with BATHBOOK_DATABASE set to a new server."""
    with Cluster(*CARELESS) as cluster:
        return subprocess.run(
            command, check=False, env={**os.environ, "BATHBOOK_DATABASE": cluster.address()}
        ).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
