"""Serving: one process or several on one address, and how they stop.

Several processes share one listening socket; each has the tables, the sites it remembers and a line of its own, and the
one with least to do takes the next connection. The server's own supervisor starts one again that dies, and passes
signals on.
"""

import os
import socket
from pathlib import Path

import uvicorn
from uvicorn.supervisors import Multiprocess

from api import metrics, shares
from api.asgi import App
from api.settings import COUNTS_FOLDER, MOST_HEADER_BYTES, Settings
from api.watching import LOGGING

BACKLOG = 2048
KEEP_ALIVE_S = 5
STARTING_S = 60
"""How long a process may take until it answers its supervisor. A start takes some three seconds of a processor, more
where many start at once; one that is late is taken for hung, and a replacement that is late ends the replacing.
"""


def listening(host: str, port: int) -> socket.socket:
    """A socket that listens on an address; the first of its meanings that can be had. Raises OSError where none can.

    Its protocol is told as TCP. From a socket of no protocol the event loop takes connections whose small parts wait
    for the other side: some 40 ms for every answer.
    """
    failed: OSError | None = None
    for family, kind, protocol, _, address in socket.getaddrinfo(
        host, port, type=socket.SOCK_STREAM, proto=socket.IPPROTO_TCP, flags=socket.AI_PASSIVE
    ):
        made = socket.socket(family, kind, protocol)
        try:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            made.bind(address)
            made.listen(BACKLOG)
        except OSError as error:
            made.close()
            failed = error
        else:
            made.set_inheritable(True)
            return made
    raise failed or OSError(f"no address is known for {host}")


def serve(app: App, host: str, port: int, settings: Settings) -> None:
    """Serve an application from this process until stopped. Raises OSError where the address cannot be had."""
    heard = listening(host, port)
    uvicorn.Server(_config(app, 1, settings)).run([heard])


def serve_together(host: str, port: int, processes: int, settings: Settings) -> None:
    """Serve from several processes, each of which makes the application. Raises as `serve`.

    They keep their counts, and what each has to do, in the folder that the environment names.
    """
    heard = listening(host, port)
    shares.begin(Path(os.environ[COUNTS_FOLDER]))
    Together(_config("api.application:create_app", processes, settings), [heard]).run()


class Together(Multiprocess):
    """The server's supervisor of several processes; what a process that is gone held is no longer counted."""

    def init_processes(self) -> None:
        """Start them."""
        super().init_processes()
        self._counted = self._pids()

    def handle_signals(self) -> None:
        """Do what signals ask, such as to replace the processes."""
        super().handle_signals()
        self._forget_the_gone()

    def terminate_all(self) -> None:
        """End them. The socket is closed here too: callers who come now are refused at once, and do not wait in a line
        that nobody takes them from until the last process has ended.
        """
        super().terminate_all()
        for heard in self.sockets:
            heard.close()

    def keep_subprocess_alive(self) -> None:
        """Start again what has died."""
        super().keep_subprocess_alive()
        self._forget_the_gone()

    def _pids(self) -> set[int]:
        return {one.pid for one in self.processes if one.pid is not None}

    def _forget_the_gone(self) -> None:
        """Drop what is told of processes that are gone: of those that served, and of a replacement that failed before
        it was one of them. None is on trial meanwhile, since this thread itself waits until it serves or failed.
        """
        now = self._pids()
        for pid in (self._counted - now) | shares.keep_only(Path(os.environ[COUNTS_FOLDER]), now):
            metrics.forget(pid)
        self._counted = now


def _config(app: App | str, processes: int, settings: Settings) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        factory=isinstance(app, str),
        workers=processes,
        http="api.connections:BoundedProtocol",
        loop="api.accepting:alone" if processes == 1 else "api.accepting:together",
        ws="none",
        log_config=LOGGING,
        access_log=False,
        server_header=False,
        backlog=BACKLOG,
        timeout_keep_alive=KEEP_ALIVE_S,
        timeout_worker_healthcheck=STARTING_S,
        timeout_graceful_shutdown=settings.stopping_s,
        h11_max_incomplete_event_size=MOST_HEADER_BYTES,
    )
