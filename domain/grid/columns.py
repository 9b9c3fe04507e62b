"""The columns of the tables that the grid writes, as Arrow types, and the numbers of sites as such columns.

Two tables: `sites` has a row for each row of the input and each climate, in their order, with its faults or its
figures; `suitabilities` a row for each cultivar at each of them. A word of a closed set, an id and a date are stored as
a place in a dictionary, so that a row of `suitabilities` takes some ten bytes on disk.
"""

from collections.abc import Sequence
from typing import Any

import msgspec
import msgspec.inspect as shape
import numpy as np
import pyarrow as pa

from domain.common.season_days import YEAR_DAYS, calendar
from domain.many_sites.site_numbers import SiteNumbers
from domain.many_sites.site_rows import RowFault
from domain.site_climate.climate_answer import SiteClimate
from domain.suitability.columns import LIMITING, NOTHING
from domain.suitability.verdicts import BEST_FIRST

WORDS = ("words", "assumptions", "warnings")
"""Members of a climate that are sentences, and left out."""
WORTH_DIGITS = 4
"""As `rank_value` has; in full, this column would take nearly half of the table."""
_YEAR = calendar(True)[:YEAR_DAYS]
"""The dates of a year from 1 January, which are the season days of the south."""
_WORD = pa.dictionary(pa.int16(), pa.string())


def arrow_type(of: shape.Type) -> pa.DataType:
    """The Arrow type of a field of an answer."""
    match of:
        case shape.Metadata():
            return arrow_type(of.type)
        case shape.UnionType():
            return arrow_type(next(one for one in of.types if not isinstance(one, shape.NoneType)))
        case shape.VarTupleType() | shape.ListType():
            return pa.list_(arrow_type(of.item_type))
        case shape.StructType():
            return pa.struct([(field.encode_name, arrow_type(field.type)) for field in of.fields])
        case shape.FloatType():
            return pa.float64()
        case shape.IntType():
            return pa.int32()
        case shape.StrType() | shape.LiteralType():
            return pa.string()
        case _:
            raise TypeError(f"no column holds {of}")


_CLIMATE = shape.type_info(SiteClimate)
assert isinstance(_CLIMATE, shape.StructType)
CLIMATE = pa.struct(
    [(field.encode_name, arrow_type(field.type)) for field in _CLIMATE.fields if field.encode_name not in WORDS]
)
"""The figures of a climate under the names of the answer to `site-climates`."""

SITES = pa.schema(
    [
        ("row", pa.int64()),
        ("id", pa.string()),
        ("weight", pa.float64()),
        ("warmer_by_c", pa.float64()),
        ("faults", pa.list_(pa.struct([("pointer", pa.string()), ("detail", pa.string())]))),
        ("climate", CLIMATE),
    ]
)

SUITABILITIES = pa.schema(
    [
        ("row", pa.int64()),
        ("id", pa.dictionary(pa.int32(), pa.string())),
        ("warmer_by_c", pa.float64()),
        ("cultivar", _WORD),
        ("verdict", _WORD),
        ("likely", pa.int8()),
        ("low", pa.int8()),
        ("high", pa.int8()),
        ("bloom_full", _WORD),
        ("harvest_first", _WORD),
        ("limiting", _WORD),
        ("rank_value", pa.float64()),
        ("worth", pa.float32()),
    ]
)


def site_record(
    row: int,
    mark: Any,
    weight: float | None,
    *,
    warmer_by_c: float,
    numbers: SiteNumbers | None = None,
    faults: Sequence[RowFault] = (),
) -> dict[str, Any]:
    """One row of `sites`."""
    climate = None
    if numbers is not None:
        told = msgspec.to_builtins(numbers.climate)
        climate = {name: value for name, value in told.items() if name not in WORDS}
    return {
        "row": row,
        "id": None if mark is None else str(mark),
        "weight": weight,
        "warmer_by_c": warmer_by_c,
        "faults": [msgspec.to_builtins(fault) for fault in faults] or None,
        "climate": climate,
    }


def sites_table(records: Sequence[dict[str, Any]]) -> pa.Table:
    """The rows of `sites` as a table."""
    return pa.Table.from_pylist(list(records), schema=SITES)


def suitabilities_table(row: int, mark: Any, numbers: SiteNumbers) -> pa.Table:
    """The rows of `suitabilities` of one site in one climate."""
    judged = numbers.judged
    size = len(judged.cultivars)
    columns = [
        pa.array(np.full(size, row, dtype=np.int64)),
        pa.DictionaryArray.from_arrays(pa.array(np.zeros(size, dtype=np.int32)), pa.array([str(mark)])),
        pa.array(np.full(size, numbers.warmer_by_c)),
        _named(np.arange(size), [cultivar.id for cultivar in judged.cultivars]),
        _named(judged.verdict, BEST_FIRST),
        *(_or_null(years) for years in (judged.likely, judged.low, judged.high)),
        _dates(judged.bloom_full, judged.south),
        _dates(judged.harvest_first, judged.south),
        _named(judged.limiting, LIMITING),
        pa.array(judged.rank_value, mask=np.isnan(judged.rank_value)),
        pa.array(np.round(numbers.worth, WORTH_DIGITS)),
    ]
    return pa.Table.from_arrays(columns, schema=SUITABILITIES)


def suitabilities_of(tables: Sequence[pa.Table]) -> pa.Table:
    """Several of these as one."""
    return pa.concat_tables([SUITABILITIES.empty_table(), *tables]).unify_dictionaries()


def _named(places: np.ndarray[Any, np.dtype[Any]], names: Sequence[str]) -> pa.Array:
    """Names (n,) by their places; null where a place is negative."""
    return pa.DictionaryArray.from_arrays(pa.array(places.astype(np.int16), mask=places < 0), pa.array(list(names)))


def _dates(days: np.ndarray[Any, np.dtype[np.int16]], south: bool) -> pa.Array:
    """The dates MM-DD of season days (n,)."""
    into_year = _YEAR.index(calendar(south)[0])
    return _named(np.where(days < 0, NOTHING, (days + into_year) % YEAR_DAYS), _YEAR)


def _or_null(values: np.ndarray[Any, np.dtype[Any]]) -> pa.Array:
    return pa.array(values, mask=values < 0)
