"""Numerical libraries compute on one thread, however the service is started."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

TASKS = Path("/proc/self/task")
COUNT = "import os, numpy; numpy.ones((600, 600)) @ numpy.ones((600, 600)); print(len(os.listdir('/proc/self/task')))"


def threads(before: str, environment: dict[str, str]) -> int:
    """Threads of a process that has multiplied two matrices."""
    others = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    command = [sys.executable, "-c", before + COUNT]
    return int(subprocess.run(command, env=others | environment, capture_output=True, text=True, check=True).stdout)


@pytest.mark.skipif(not TASKS.exists(), reason="threads are counted where the system lists them as files")
@pytest.mark.parametrize("start", ["import api.application; ", "import api.__main__; "])
@pytest.mark.parametrize("environment", [{}, {"OPENBLAS_NUM_THREADS": "2"}])
def test_the_service_has_one_thread_for_matrices(start: str, environment: dict[str, str]) -> None:
    assert threads(start, environment) == 1


@pytest.mark.skipif(not TASKS.exists() or (os.cpu_count() or 1) < 2, reason="one processor has one thread anyway")
def test_without_it_there_are_more() -> None:
    assert threads("", {}) > 1
