"""The service in processes of its own, asked through real sockets."""

import contextlib
import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.client import HTTPConnection
from pathlib import Path
from typing import IO, Any

STARTS_WITHIN_S = 120.0


@dataclass
class Served:
    """A service that runs."""

    port: int
    process: "subprocess.Popen[bytes]"
    log: IO[bytes] = field(repr=False)

    def connected(self) -> socket.socket:
        """A connection to it."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=60)

    def said(self, content: bytes, then_wait: bool = True) -> bytes:
        """All that it says to these bytes until it closes, or to the first answer where the connection is kept."""
        with self.connected() as connection:
            connection.sendall(content)
            return until_closed(connection) if then_wait else connection.recv(65_536)

    def get(self, path: str, **headers: str) -> tuple[int, dict[str, str], bytes]:
        """Status, headers and body of a GET."""
        return self.asked("GET", path, None, headers)

    def post(self, path: str, body: Any, **headers: str) -> tuple[int, dict[str, str], bytes]:
        """Status, headers and body of a POST of JSON."""
        return self.asked("POST", path, json.dumps(body).encode(), {"content-type": "application/json"} | headers)

    def asked(
        self, method: str, path: str, body: bytes | None, headers: dict[str, str]
    ) -> tuple[int, dict[str, str], bytes]:
        """Status, headers and body, over a connection of its own."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=120)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read()
        finally:
            connection.close()

    def lines(self) -> list[dict[str, Any]]:
        """The lines of its log so far."""
        self.log.seek(0)
        return [json.loads(line) for line in self.log.read().splitlines() if line.startswith(b"{")]


def until_closed(connection: socket.socket) -> bytes:
    """All that comes until the other side closes; a reset counts as closed."""
    came = b""
    with contextlib.suppress(ConnectionResetError):
        while part := connection.recv(65_536):
            came += part
    return came


@contextlib.contextmanager
def served(folder: Path, processes: int = 1, **settings: int) -> Iterator[Served]:
    """A service with these settings, ready; stopped at the end."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = found.getsockname()[1]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("SITING_ADVISOR_")}
    environment |= {f"SITING_ADVISOR_{name.upper()}": str(value) for name, value in settings.items()}
    command = [sys.executable, "-m", "api", "--port", str(port), "--processes", str(processes)]
    with (folder / "log").open("w+b") as log:
        process = subprocess.Popen(command, env=environment, stderr=log)
        running = Served(port, process, log)
        try:
            _wait(running, processes)
            yield running
        finally:
            if process.poll() is None:
                process.terminate()
            process.wait(90)


def _wait(running: Served, processes: int) -> None:
    deadline = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < deadline:
        if running.process.poll() is not None:
            raise AssertionError("the service ended: " + json.dumps(running.lines()[-3:]))
        started = sum(line["message"] == "Application startup complete." for line in running.lines())
        if started >= processes:
            with contextlib.suppress(OSError):
                if running.get("/readyz")[0] == 200:
                    return
        time.sleep(0.1)
    raise AssertionError("the service was not ready in time")
