"""What the handlers share: the tables, read once at start, and the versions that every answer names."""

import msgspec

from api import __version__
from domain.tables import Tables


class Versions(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer was computed with: equal requests to equal versions get equal answers."""

    program: str
    tables: str


class Advisor:
    """The tables and what is remembered of earlier requests. Safe to use from several threads."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.versions = Versions(program=__version__, tables=tables.version)
