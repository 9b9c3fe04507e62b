"""One application for all tests of the API, and a client that calls it in process."""

from collections.abc import Iterator
from typing import Any

import pytest
from litestar.testing import TestClient

from api.application import create_app


@pytest.fixture(scope="session")
def app() -> Any:
    return create_app()


@pytest.fixture(scope="session")
def client(app: Any) -> Iterator[TestClient[Any]]:
    with TestClient(app, raise_server_exceptions=False) as made:
        yield made
