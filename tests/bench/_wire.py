"""A server behind a wire on which the bytes are counted."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager


class Wire:
    """Passes bytes on between a browser and a server, and counts those that come from the server."""

    def __init__(self, to: int) -> None:
        self.to, self.count = to, 0
        self.door = socket.create_server(("127.0.0.1", 0))
        self.port = self.door.getsockname()[1]
        threading.Thread(target=self._open, daemon=True).start()

    def _open(self) -> None:
        while True:
            try:
                browser, _ = self.door.accept()
                server = socket.create_connection(("127.0.0.1", self.to))
            except OSError:
                return
            for source, target, counted in ((browser, server, False), (server, browser, True)):
                threading.Thread(target=self._pass, args=(source, target, counted), daemon=True).start()

    def _pass(self, source: socket.socket, target: socket.socket, counted: bool) -> None:
        try:
            while part := source.recv(65536):
                self.count += len(part) if counted else 0
                target.sendall(part)
        except OSError:
            pass
        finally:
            for each in (source, target):
                each.close()


def free_port() -> int:
    """A port on which nobody listens."""
    with socket.create_server(("127.0.0.1", 0)) as door:
        return int(door.getsockname()[1])


@contextmanager
def served(environment: dict[str, str]) -> Iterator[Wire]:
    """The kitchen served by gunicorn, as on a small server, behind a wire."""
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", "kitchen.wsgi", "-b", f"127.0.0.1:{port}", "--threads", "4"]
    server = subprocess.Popen(
        [*command, "--log-level", "error"], env={**os.environ, **environment}, stdout=subprocess.DEVNULL
    )
    try:
        for _ in range(200):
            try:
                socket.create_connection(("127.0.0.1", port)).close()
                break
            except OSError:
                time.sleep(0.1)
        wire = Wire(port)
        yield wire
        wire.door.close()
    finally:
        server.terminate()
        server.wait()
