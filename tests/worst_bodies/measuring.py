"""What one request costs: processor time of the whole process in units of work, and how far its memory rose."""

import json
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from types import TracebackType
from typing import Any

from litestar.testing import TestClient

from api.application import create_app

Body = dict[str, Any]

BELGRADE: Body = {"latitude": 44.8, "longitude": 20.5}
MB = 1e6


@dataclass(frozen=True)
class Cost:
    """Of one request."""

    status: int
    seconds: float
    units: float
    memory_mb: float


class Meter:
    """The application in this process, and the unit of work measured beside it."""

    def __init__(self) -> None:
        self._client = TestClient[Any](create_app())
        self._asked = 0

    def __enter__(self) -> "Meter":
        self._client.__enter__()
        self.unit_s = self.unit()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._client.__exit__(kind, error, trace)

    def unit(self) -> float:
        """Seconds of a unit of work: all advised cultivars at a known site by weights not asked before, for 500."""
        self._client.post("/v1/suitabilities", json={"site": BELGRADE}).raise_for_status()
        found = []
        for _ in range(7):
            self._asked += 1
            body = {"site": BELGRADE, "weights": {"crop": 1 + self._asked / 1000}}
            start = time.process_time()
            answer = self._client.post("/v1/suitabilities", json=body)
            spent = time.process_time() - start
            found.append(spent * 500 / len(answer.json()["suitabilities"]))
        return median(found)

    def cost(self, path: str, body: Body, form: str) -> Cost:
        """Of a request for a form of the answer as it is sent: the body is encoded before, the answer is not read."""
        content = json.dumps(body).encode()
        headers = {"content-type": "application/json", "accept": form}
        before = forget_the_peak()
        start = time.process_time()
        answer = self._client.post(path, content=content, headers=headers)
        spent = time.process_time() - start
        risen = peak_bytes() - before
        return Cost(answer.status_code, spent, spent / self.unit_s, risen / MB)


def forget_the_peak() -> int:
    """Let the system count the largest memory from now on; bytes that are held now. Linux alone can."""
    Path("/proc/self/clear_refs").write_text("5")
    return _status("VmRSS")


def peak_bytes() -> int:
    """Largest memory since it was forgotten."""
    return _status("VmHWM")


def _status(field: str) -> int:
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith(f"{field}:"):
            return int(line.split()[1]) * 1024
    raise OSError(f"the system tells no {field}")
