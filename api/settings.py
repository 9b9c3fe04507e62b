"""What can be set from the environment when the service starts. Every setting has a default that works."""

import os
from collections.abc import Mapping

import msgspec

PREFIX = "SITING_ADVISOR_"

KIB = 1024
MIB = 1024 * KIB


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """Bounds and lifetimes of the service. Set one by the environment variable of its name, e.g.

    ``SITING_ADVISOR_BODY_BOUND_BYTES=131072``.
    """

    body_bound_bytes: int = 256 * KIB
    """Largest body of a request without temperature records."""
    records_body_bound_bytes: int = 8 * MIB
    """Largest body of a request that carries daily or hourly records, and largest file of records."""
    remembered_sites: int = 32
    """Sites whose simulated years are kept in memory (about 5 MB each)."""
    reference_max_age_s: int = 3600
    """How long a client may keep reference data before it asks again."""


def from_environment(environment: Mapping[str, str] | None = None) -> Settings:
    """The settings of a process. Raises msgspec.ValidationError naming the setting that is no whole number."""
    variables = os.environ if environment is None else environment
    given = {
        field: variables[PREFIX + field.upper()]
        for field in Settings.__struct_fields__
        if PREFIX + field.upper() in variables
    }
    return msgspec.convert(given, Settings, strict=False)
