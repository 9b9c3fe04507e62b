"""A client with nothing but the standard library: ``python -m examples.python_client http://127.0.0.1:8000``.

It asks README's first request, shows what a refusal tells, and fetches the same answer as a table. Take `ask` along
into a program of your own: it waits when the service is busy, and turns a refusal into an exception that holds every
fault.
"""

import csv
import io
import json
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

FIRST_REQUEST = Path(__file__).parent / "requests" / "hollin-lane-suitabilities.json"
BUSY = {429, 503}
MOST_TRIES = 4


class RefusedError(Exception):
    """The service refused a request; `problem` is its problem document (RFC 9457)."""

    def __init__(self, problem: dict[str, Any]) -> None:
        faults = [
            f"{fault.get('pointer') or fault.get('parameter')}: {fault['detail']}" for fault in faults_of(problem)
        ]
        super().__init__("; ".join([str(problem["title"]), *faults]))
        self.problem = problem


def faults_of(problem: dict[str, Any]) -> list[dict[str, Any]]:
    """Every fault of a refusal."""
    return list(problem.get("errors") or ())


def ask(service: str, path: str, body: dict[str, Any], accept: str = "application/json", seconds: float = 120) -> str:
    """The answer as text. Raises RefusedError; waits and asks again while the service is busy."""
    headers = {"Content-Type": "application/json", "Accept": accept}
    for tried in range(1, MOST_TRIES + 1):
        request = urllib.request.Request(service + path, json.dumps(body).encode(), headers)
        try:
            with urllib.request.urlopen(request, timeout=seconds) as answer:
                text: str = answer.read().decode("utf-8")
                return text
        except urllib.error.HTTPError as error:
            if error.code in BUSY and tried < MOST_TRIES:
                time.sleep(float(error.headers.get("Retry-After", 1)))
                continue
            raise RefusedError(json.loads(error.read())) from error
    raise AssertionError("the last try answers or raises")


def main(service: str) -> None:
    """Ask, be refused, ask for a table."""
    asked = json.loads(FIRST_REQUEST.read_bytes())
    answer = json.loads(ask(service, "/v1/suitabilities", asked))
    for judged in answer["suitabilities"]:
        print(f"{judged['verdict']:<14}{judged['words']}")

    mistyped = {"site": asked["site"], "cultivars": ["Discovery", "Golden Delishus"]}
    try:
        ask(service, "/v1/suitabilities", mistyped)
    except RefusedError as refused:
        for fault in faults_of(refused.problem):
            print(f"{fault['pointer']}: did you mean {' or '.join(fault['nearest'])}?")

    rows = csv.DictReader(io.StringIO(ask(service, "/v1/suitabilities", asked, "text/csv")))
    for row in rows:
        print(f"{row['cultivar']}: blooms about {row['full_bloom']}, picked from {row['picking_from']}")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "http://127.0.0.1:8000")
