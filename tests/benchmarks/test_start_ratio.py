"""A start against the import of the modules that are needed for it, each in a process of its own."""

import os
import subprocess
import sys
from statistics import median

import pytest

pytestmark = pytest.mark.benchmark

IMPORTED = "import time, api.application as made; "
READY = IMPORTED + "made.create_app(); "


def seconds(code: str) -> float:
    """Processor seconds of a process that does this."""
    command = [sys.executable, "-c", code + "print(time.process_time())"]
    return float(subprocess.run(command, env=os.environ, capture_output=True, text=True, check=True).stdout)


def test_a_start_costs_little_more_than_twice_its_imports() -> None:
    """Twice is asked. What few ask for, the contract and its page, is made when it is asked for."""
    found = median(seconds(READY) / seconds(IMPORTED) for _ in range(3))
    print(f"ready after {found:.2f} times its imports")
    assert found < 2.3
