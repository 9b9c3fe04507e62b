"""What tests share in a session: one application, the tables and standard sites; and how workers share the tests."""

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from litestar.testing import TestClient
from xdist.scheduler import LoadScopeScheduling

from api.application import create_app
from domain.climate.site import Site
from domain.evidence.adoption import Evidence, evidence_of
from domain.suitability.advice import Catalogue
from domain.tables import Tables
from tests import shared

TOGETHER = {
    "tests/published/test_disease_weather.py": "orchard health",
    "tests/published/test_insect_heat_sums.py": "orchard health",
    "tests/published/test_chill.py": "station normals",
    "tests/published/test_frost.py": "station normals",
    "tests/domain/climate/test_site_years.py": "site years",
    "tests/domain/climate/test_cold_air.py": "site years",
}
"""Files that read the same sites or series: one worker takes them. Any other file is taken whole by one worker."""


class ByFile(LoadScopeScheduling):
    """Gives a worker whole files, so that what a file makes once is made once, and files `TOGETHER` at one time."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.split("::", 1)[0]
        return TOGETHER.get(file, file)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile:
    """Workers of `-n` share the tests by file."""
    return ByFile(config, log)


@pytest.fixture(scope="session")
def app() -> Any:
    return create_app()


@pytest.fixture(scope="session")
def client(app: Any) -> Iterator[TestClient[Any]]:
    with TestClient(app, raise_server_exceptions=False) as made:
        yield made


@pytest.fixture(scope="session")
def tables() -> Tables:
    return shared.tables()


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return shared.catalogue()


@pytest.fixture(scope="session")
def evidence(tables: Tables) -> Evidence:
    """All that adoption starts from, nothing left out."""
    return evidence_of(tables)


@pytest.fixture(scope="session")
def standard_sites() -> Mapping[str, Site]:
    return shared.STANDARD_SITES
