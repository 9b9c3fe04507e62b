"""The clients of the examples run against the service as it is started for callers."""

import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from examples.demo import serve

PROJECT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def service() -> Iterator[str]:
    server, thread, port = serve()
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(timeout=10)


def run(*command: str) -> str:
    ran = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, timeout=300, check=False)
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


def test_the_python_client(service: str) -> None:
    said = run(sys.executable, "-m", "examples.python_client", service)
    assert "plant         Discovery should crop well" in said
    assert "#/cultivars/1: did you mean Golden Delicious" in said
    assert "Bramley's Seedling: blooms about 05-" in said


def test_the_nursery_stock_cell_by_cell(service: str) -> None:
    said = run(sys.executable, "-m", "examples.nursery_stock", service)
    assert "Not known: Lowmoor Beauty" in said
    assert "upland farms: " in said
    assert "of customers" in said
    assert "on M" in said.splitlines()[-1]


def test_the_curl_lines(service: str) -> None:
    if shutil.which("curl") is None:
        pytest.skip("curl is not installed")
    said = run("bash", "examples/curl.sh", service)
    decoder, documents, rest = json.JSONDecoder(), [], said
    while rest.startswith("{"):
        document, end = decoder.raw_decode(rest)
        documents.append(document)
        rest = rest[end:].lstrip("\n")
        if not rest.startswith("{"):  # the table, the picture and the status are no JSON
            rest = rest[rest.find("{") :] if "{" in rest else ""
    assert len(documents) == 5
    assert len(documents[0]["suitabilities"]) == 3
    assert len(documents[1]["planting_lists"][0]["trees"]) == 3
    assert documents[2]["type"] == "FeatureCollection"
    assert documents[3]["basis"] == "records"
    assert documents[-1]["status"] == 422
    assert len(documents[-1]["errors"]) >= 2
    assert "<svg " in said
    assert "304\n" in said
