"""The folder of a survey: its files, which of its parts are there, and whether it belongs to what is asked now.

A file appears whole or not at all: it is written under another name, brought to the disk, and renamed. A part is there
when its file of `sites` is, which is written last; so whatever a run that was cut off has left is either done or not
seen. Names with a dot in front are no part of the tables, and go when the next run begins.
"""

import hashlib
import os
from pathlib import Path

import msgspec

from domain.grid.part import PartAnswer, Survey

WHAT = "survey.json"
SITES, SUITABILITIES = "sites", "suitabilities"
_CHUNK = 1 << 20


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """What the folder answers: the table (its hash and rows), in parts of so many rows, and what was asked of it."""

    table_sha256: str
    rows: int
    part_rows: int
    survey: Survey

    @property
    def parts(self) -> int:
        """How many parts the table has."""
        return -(-self.rows // self.part_rows)


class OtherSurveyError(ValueError):
    """The folder holds the answer to something else."""


class Folder:
    """The folder in which a survey is answered. One run writes it at a time."""

    def __init__(self, path: Path, asked: Asked) -> None:
        self.path, self.asked = path, asked

    def open(self) -> None:
        """Make the folder, or make sure that it is of this survey. Raises OtherSurveyError where it is not."""
        for name in (SITES, SUITABILITIES):
            (self.path / name).mkdir(parents=True, exist_ok=True)
            for left in (self.path / name).glob(".*.begun"):
                left.unlink()
        kept = self.path / WHAT
        if not kept.exists():
            _write(kept, msgspec.json.format(msgspec.json.encode(self.asked)))
            return
        there = msgspec.json.decode(kept.read_bytes(), type=Asked)
        if there != self.asked:
            raise OtherSurveyError(f"{self.path} answers something else: {_difference(there, self.asked)}")

    def is_there(self, part: int) -> bool:
        """Whether a part is answered."""
        return (self.path / SITES / _name(part)).exists()

    def write(self, part: int, answer: PartAnswer) -> None:
        """Write the two files of a part, that of `sites` last."""
        _write(self.path / SUITABILITIES / _name(part), answer.suitabilities)
        _write(self.path / SITES / _name(part), answer.sites)


def hash_of(path: Path) -> str:
    """SHA-256 of a file."""
    made = hashlib.sha256()
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            made.update(chunk)
    return made.hexdigest()


def _name(part: int) -> str:
    return f"part-{part:06}.parquet"


def _write(path: Path, content: bytes) -> None:
    """Write a file so that it is there whole or not at all."""
    begun = path.with_name(f".{path.name}.{os.getpid()}.begun")
    with begun.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    begun.replace(path)


def _difference(there: Asked, now: Asked) -> str:
    """The members in which two differ."""
    pairs = [(there, now), (there.survey, now.survey)]
    return ", ".join(
        f"{name} {getattr(a, name)!r} and now {getattr(b, name)!r}"
        for a, b in pairs
        for name in a.__struct_fields__
        if name != "survey" and getattr(a, name) != getattr(b, name)
    )
