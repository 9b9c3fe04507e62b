"""Serve the application: ``python -m api --host 127.0.0.1 --port 8000 --processes 2``."""

import argparse
import os
import sys
import tempfile

from api.settings import COUNTS_FOLDER, SettingError, from_environment
from domain.tables.loading import TableError, load

MOST_PROCESSES = 64


def main() -> None:
    """Read the command line and the environment, and serve until stopped.

    What cannot be served as it is set is told in one line on the error output; the exit code is then 2.
    """
    parser = argparse.ArgumentParser(prog="python -m api", description="Serve the variety-siting advisor over HTTP.")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default: %(default)s)")
    parser.add_argument("--port", default=8000, type=_port, help="port to listen on (default: %(default)s)")
    parser.add_argument(
        "--processes",
        default=1,
        type=_processes,
        help="processes that serve the address together, each with memory of its own (default: %(default)s)",
    )
    arguments = parser.parse_args()
    if arguments.processes > 1 and COUNTS_FOLDER not in os.environ:
        with tempfile.TemporaryDirectory(prefix="siting-advisor-counts-") as folder:
            os.environ[COUNTS_FOLDER] = folder
            _serve(arguments.host, arguments.port, arguments.processes)
    else:
        _serve(arguments.host, arguments.port, arguments.processes)


def _serve(host: str, port: int, processes: int) -> None:
    try:
        settings = from_environment()
        # Figures of the trade are read as their modules are imported: a damaged table must end in one line too.
        from api.application import create_app  # noqa: PLC0415 - see above
        from api.server import serve, serve_together  # noqa: PLC0415 - the counts are imported with it

        if processes == 1:
            serve(create_app(settings), host, port, settings)
        else:
            load()  # a process that finds a damaged table would be started again for ever
            serve_together(host, port, processes, settings)
    except (SettingError, TableError) as wrong:
        _end(str(wrong))
    except OSError as wrong:
        _end(f"{host}:{port} cannot be had: {wrong.strerror or wrong}")


def _end(why: str) -> None:
    sys.stderr.write(f"python -m api: {why}\n")
    sys.exit(2)


def _processes(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) <= 3 and 1 <= int(text) <= MOST_PROCESSES):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is none; expected a whole number from 1 to {MOST_PROCESSES}")
    return int(text)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) <= 5 and int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is no port; expected a whole number from 0 to 65535")
    return int(text)


if __name__ == "__main__":
    main()
