"""Serve the application: ``python -m api --host 127.0.0.1 --port 8000``."""

import argparse
import sys

import uvicorn

from api.settings import SettingError, from_environment
from domain.tables.loading import TableError


def main() -> None:
    """Read the command line and the environment, and serve until stopped.

    What cannot be served as it is set is told in one line on the error output; the exit code is then 2.
    """
    parser = argparse.ArgumentParser(prog="python -m api", description="Serve the variety-siting advisor over HTTP.")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default: %(default)s)")
    parser.add_argument("--port", default=8000, type=_port, help="port to listen on (default: %(default)s)")
    arguments = parser.parse_args()
    try:
        # Figures of the trade are read as their modules are imported: a damaged table must end in one line too.
        from api.application import create_app  # noqa: PLC0415 - see above

        app = create_app(from_environment())
    except (SettingError, TableError) as wrong:
        sys.stderr.write(f"python -m api: {wrong}\n")
        sys.exit(2)
    uvicorn.run(app, host=arguments.host, port=arguments.port, timeout_graceful_shutdown=10)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) <= 5 and int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"“{text[:40]}” is no port; expected a whole number from 0 to 65535")
    return int(text)


if __name__ == "__main__":
    main()
