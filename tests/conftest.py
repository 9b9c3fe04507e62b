"""What tests share in a session: one application, the tables and standard sites.

And how workers share the tests, and how checks from outside are counted apart from fits.
"""

from collections import Counter
from collections.abc import Generator, Iterator, Mapping
from typing import Any

import pytest
from litestar.testing import TestClient
from xdist.scheduler import LoadScopeScheduling

from api.application import create_app
from domain.adoption.steps import Evidence, evidence_of
from domain.site_climate.site import Site
from domain.tables.loading import Tables
from domain.traits.catalogue import Catalogue
from tests import shared

TOGETHER = {
    "tests/published/test_disease_weather.py": "orchard health",
    "tests/published/test_insect_heat_sums.py": "orchard health",
    "tests/published/test_chill.py": "station normals",
    "tests/published/test_frost.py": "station normals",
    "tests/domain/site_climate/test_site_years.py": "site years",
    "tests/domain/weather/test_cold_air.py": "site years",
}
"""Files that read the same sites or series: one worker takes them. Any other file is taken whole by one worker."""


class ByFile(LoadScopeScheduling):  # type: ignore[misc]  # untyped library
    """Gives a worker whole files, so that what a file makes once is made once, and files `TOGETHER` at one time."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.split("::", 1)[0]
        return TOGETHER.get(file, file)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> ByFile:
    """Workers of `-n` share the tests by file."""
    return ByFile(config, log)


FITTED = "fitted_on"
"""Marker of published cases that a figure was set on (tests/published/cases.py), and its name in the reports."""


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Say in the report of a published case whether it was fitted on."""
    report = yield
    if item.nodeid.startswith("tests/published/"):
        report.user_properties.append((FITTED, item.get_closest_marker(FITTED) is not None))
    return report


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Count checks from outside and fits apart."""
    counts: Counter[tuple[bool, str]] = Counter()
    for outcome in ("passed", "failed"):
        for report in terminalreporter.stats.get(outcome, []):
            known = dict(report.user_properties)
            if FITTED in known:
                counts[known[FITTED], outcome] += 1
    if counts:
        terminalreporter.section("published cases")
        for fitted, words in ((False, "checks from outside"), (True, "fits, no checks: figures were set on these")):
            terminalreporter.write_line(
                f"{words}: {counts[fitted, 'passed']} passed, {counts[fitted, 'failed']} failed"
            )


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
