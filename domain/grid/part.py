"""One part of a table of sites, answered in whatever process the engine chose: rows in, two Parquet files out as bytes.

A part is a pure function of its rows, of what is asked and of the tables, so that one that is answered twice (its
worker was lost on the way back) is answered alike. Nothing is written here: who sent the part writes its files, and
needs no disk in common with the workers.
"""

import functools
import gc
import io
import logging
import os
import resource
import sys
import time
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec
import pyarrow as pa
import pyarrow.parquet as pq

from domain import __version__
from domain.common.asked_names import resolve_names
from domain.common.faults import ContentFaults
from domain.grid import columns
from domain.many_sites.site_numbers import Asked, site_numbers
from domain.many_sites.site_rows import RowFault, row_faults, site_of
from domain.suitability.suitability_request import Weights
from domain.tables.loading import load
from domain.traits.catalogue import Catalogue

_log = logging.getLogger(__name__)
FAILED = "This row could not be answered: a fault of the program, told in the log of its worker."


LOST = "This row could not be answered: every worker that tried it was lost, for want of memory it may be."


class Survey(msgspec.Struct, frozen=True, kw_only=True):
    """What is asked of every site of a table, and with what it is answered."""

    program: str
    tables: str
    cultivars: tuple[str, ...] | None
    warmer_by_c: tuple[float, ...]
    weights: Weights
    no_spray: bool


class PartAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The files of a part, how many sites and faulty rows it held, and what its worker said of itself."""

    sites: bytes
    suitabilities: bytes
    rows: int
    faulty: int
    cpu_s: float
    worker: str
    worker_mib: float


class OtherVersionsError(RuntimeError):
    """A worker has other tables, or another program, than who asks it."""


def survey(
    cultivars: Sequence[str] | None, warmer_by_c: Sequence[float], weights: Weights | None, no_spray: bool
) -> Survey:
    """What is asked, with the versions of this process. Raises ContentFaults for unknown names of cultivars."""
    tables = load()
    ids = None if cultivars is None else resolve_names(tables.names, list(cultivars), "cultivars")
    return Survey(
        program=__version__,
        tables=tables.version,
        cultivars=ids,
        warmer_by_c=tuple(warmer_by_c),
        weights=weights or Weights(),
        no_spray=no_spray,
    )


def answer_part(first_row: int, rows: Sequence[Mapping[str, Any]], asked: bytes) -> PartAnswer:
    """Answer some rows of a table. first_row: number of the first, from 0. asked: a `Survey` in JSON.

    A row that no site can be, or on which the program fails, is answered by its faults. Raises OtherVersionsError.
    """
    began = time.process_time()
    wanted = msgspec.json.decode(asked, type=Survey)
    catalogue, question = _prepared(wanted)
    records: list[dict[str, Any]] = []
    judged: list[pa.Table] = []
    faulty = 0
    for row, told in enumerate(rows, first_row):
        mark, weight = told.get("id"), None
        found: list[dict[str, Any]] = []
        tables: list[pa.Table] = []
        faults: tuple[RowFault, ...] = ()
        try:
            read, site = site_of(told)
            weight = read.weight
            for numbers in site_numbers(site, catalogue, question):
                found.append(columns.site_record(row, mark, weight, warmer_by_c=numbers.warmer_by_c, numbers=numbers))
                tables.append(columns.suitabilities_table(row, mark, numbers))
        except ContentFaults as refused:
            faults = row_faults(refused)
        except Exception:  # a row that fails must not take the others with it
            _log.exception("row %d", row)
            faults = (RowFault("#", FAILED),)
        if faults:
            faulty += 1
            found = [columns.site_record(row, mark, weight, warmer_by_c=c, faults=faults) for c in question.warmer_by_c]
            tables = []
        records += found
        judged += tables
        # What is kept with a site refers back to it (some 15 MiB); the tables are out of the collector's sight.
        gc.collect()
    return PartAnswer(
        sites=_parquet(columns.sites_table(records)),
        suitabilities=_parquet(columns.suitabilities_of(judged)),
        rows=len(rows),
        faulty=faulty,
        cpu_s=time.process_time() - began,
        worker=str(os.getpid()),
        worker_mib=_most_mib(),
    )


@functools.lru_cache(maxsize=2)
def _prepared(wanted: Survey) -> tuple[Catalogue, Asked]:
    """The tables and the question, made once a process."""
    tables = load()
    mine = (__version__, tables.version)
    if mine != (wanted.program, wanted.tables):
        raise OtherVersionsError(
            f"this worker has program and tables {mine}, asked were {(wanted.program, wanted.tables)}"
        )
    catalogue = Catalogue(tables)
    traits = catalogue.advised
    if wanted.cultivars is not None:
        traits = catalogue.choose([tables.by_id[cultivar_id] for cultivar_id in wanted.cultivars])
    gc.freeze()
    return catalogue, Asked(traits, wanted.warmer_by_c, wanted.weights, wanted.no_spray)


def lost_row(row: int, told: Mapping[str, Any], asked: Survey) -> PartAnswer:
    """The answer to a row on which every worker that tried it was lost."""
    faults = (RowFault("#", LOST),)
    records = [columns.site_record(row, told.get("id"), None, warmer_by_c=c, faults=faults) for c in asked.warmer_by_c]
    return PartAnswer(
        sites=_parquet(columns.sites_table(records)),
        suitabilities=_parquet(columns.suitabilities_of([])),
        rows=1,
        faulty=1,
        cpu_s=0.0,
        worker="",
        worker_mib=0.0,
    )


def joined(pieces: Sequence[PartAnswer]) -> PartAnswer:
    """The answer to a part from those to its rows, in their order."""
    if len(pieces) == 1:
        return pieces[0]
    last = pieces[-1]
    return PartAnswer(
        sites=_parquet(pa.concat_tables(_read(one.sites) for one in pieces)),
        suitabilities=_parquet(columns.suitabilities_of([_read(one.suitabilities) for one in pieces])),
        rows=sum(one.rows for one in pieces),
        faulty=sum(one.faulty for one in pieces),
        cpu_s=sum(one.cpu_s for one in pieces),
        worker=last.worker,
        worker_mib=max(one.worker_mib for one in pieces),
    )


def _read(file: bytes) -> pa.Table:
    return pq.read_table(io.BytesIO(file))


def _most_mib() -> float:
    """Most memory that this process has had, MiB."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (2**20 if sys.platform == "darwin" else 2**10)


def _parquet(table: pa.Table) -> bytes:
    made = io.BytesIO()
    pq.write_table(table, made, compression="zstd")
    return made.getvalue()
