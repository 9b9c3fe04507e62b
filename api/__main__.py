"""Serve the application: ``python -m api --host 127.0.0.1 --port 8000``."""

import argparse
import sys

import uvicorn

from domain.tables.loading import TableError


def main() -> None:
    """Read the command line and serve until stopped."""
    parser = argparse.ArgumentParser(prog="python -m api", description="Serve the variety-siting advisor over HTTP.")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default: %(default)s)")
    parser.add_argument("--port", default=8000, type=int, help="port to listen on (default: %(default)s)")
    arguments = parser.parse_args()
    try:
        # Figures of the trade are read as their modules are imported: a damaged table must end in one line too.
        from api.application import create_app  # noqa: PLC0415

        application = create_app()
    except TableError as fault:
        sys.exit(f"reference_tables: {fault}")
    uvicorn.run(application, host=arguments.host, port=arguments.port, timeout_graceful_shutdown=10)


if __name__ == "__main__":
    main()
