"""What can be set from the environment when the service starts. Every setting has a default that works."""

import os
import re
from collections.abc import Mapping
from typing import Annotated, Any, get_type_hints

import msgspec
from msgspec import Meta

PREFIX = "SITING_ADVISOR_"

COUNTS_FOLDER = "PROMETHEUS_MULTIPROC_DIR"
"""The variable by which the library that counts knows, when it is imported, that there are several processes, and where
they write.
"""

KIB = 1024
MIB = 1024 * KIB
MOST_HEADER_BYTES = 32 * KIB
"""Of what stands before the body of a request."""


class SettingError(ValueError):
    """A setting that cannot be used; names the variable and says what was expected."""


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """Bounds and lifetimes of the service. Set one by the environment variable of its name, e.g.

    ``SITING_ADVISOR_BODY_BOUND_BYTES=131072``.
    """

    body_bound_bytes: Annotated[int, Meta(ge=KIB, le=64 * MIB)] = 256 * KIB
    """Largest body of a request without temperature records."""
    records_body_bound_bytes: Annotated[int, Meta(ge=KIB, le=64 * MIB)] = 8 * MIB
    """Largest body of a request that carries daily or hourly records, and largest file of records."""
    remembered_sites: Annotated[int, Meta(ge=0, le=10_000)] = 32
    """Sites whose simulated years are kept in memory (12 MiB each, to 30 where lists were asked)."""
    remembered_mib: Annotated[int, Meta(ge=16, le=65_536)] = 512
    """Most MiB of arrays that remembered sites may hold; the longest unasked are forgotten first."""
    reference_max_age_s: Annotated[int, Meta(ge=0, le=31_536_000)] = 3600
    """How long a client may keep reference data before it asks again."""
    computations_at_a_time: Annotated[int, Meta(ge=1, le=64)] = 1
    """Computations under way at once, each on a thread of its own; more than there are processors gain nothing."""
    waiting_computations: Annotated[int, Meta(ge=0, le=1000)] = 32
    """Computations that may wait for a thread; the next one is refused (503)."""
    streams_at_a_time: Annotated[int, Meta(ge=1, le=100)] = 4
    """Streams of reviews at once; the next one is refused (503)."""
    connections: Annotated[int, Meta(ge=1, le=100_000)] = 1000
    """Connections open at once, of a process; the next one is refused (503) and closed."""
    held_body_mib: Annotated[int, Meta(ge=1, le=65_536)] = 128
    """Most MiB of bodies held at once, of a process; what would pass it is refused (503)."""
    headers_timeout_s: Annotated[int, Meta(ge=1, le=600)] = 10
    """How long a caller may take from the connection to the end of the lines before a body."""
    body_timeout_s: Annotated[int, Meta(ge=1, le=3600)] = 30
    """How long a body may take, and a second more for every 64 KiB that have come."""
    answer_timeout_s: Annotated[int, Meta(ge=1, le=3600)] = 60
    """How long a caller may leave a part of an answer untaken."""
    stopping_s: Annotated[int, Meta(ge=1, le=3600)] = 60
    """How long what was asked may still be worked on after the service was told to stop."""
    requests_a_minute: Annotated[int, Meta(ge=0, le=1_000_000)] = 0
    """Requests of one caller (by address) in a minute; the next one is refused (429). 0: as many as they like."""

    @property
    def bounds_in_words(self) -> str:
        """How large a body may be."""
        return (
            f"Expected at most {self.body_bound_bytes // KIB} KiB, "
            f"or {self.records_body_bound_bytes // KIB} KiB with daily or hourly records, in JSON or as a file."
        )


def from_environment(environment: Mapping[str, str] | None = None) -> Settings:
    """The settings of a process.

    Raises SettingError with one line that names the variable: one that is no setting, no whole number, or out of range.
    """
    variables = os.environ if environment is None else environment
    given: dict[str, int] = {}
    hints = get_type_hints(Settings, include_extras=True)
    for variable in sorted(name for name in variables if name.startswith(PREFIX)):
        field = variable.removeprefix(PREFIX).lower()
        if field not in Settings.__struct_fields__ or variable != PREFIX + field.upper():
            known = ", ".join(PREFIX + name.upper() for name in Settings.__struct_fields__)
            raise SettingError(f"{variable} is no setting; known are {known}.")
        given[field] = _whole_number(variable, variables[variable], hints[field])
    return Settings(**given)


def _whole_number(variable: str, text: str, hint: Any) -> int:
    bounds = hint.__metadata__[0]
    expected = f"expected a whole number from {bounds.ge} to {bounds.le}"
    if not re.fullmatch(r"[0-9]{1,12}", text):
        raise SettingError(f"{variable} is “{text[:40]}”; {expected}.")
    number = int(text)
    if not bounds.ge <= number <= bounds.le:
        raise SettingError(f"{variable} is {number}; {expected}.")
    return number
