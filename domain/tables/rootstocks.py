"""The records of rootstocks: adopted traits with deviation, basis and sources, and whether they are commonly sold."""

import functools
from collections.abc import Sequence
from pathlib import Path

import msgspec

from domain.common.names import NameIndex
from domain.tables.cultivars import Basis, Estimate, Finding
from domain.tables.loading import TABLES, TableError, rows

SERIES = {
    "M.": ("Malling ",),
    "MM.": ("Malling-Merton ",),
    "Bud.": ("Budagovsky ", "B."),
    "G.": ("Geneva ",),
    "CG.": ("Cornell-Geneva ",),
    "V.": ("Vineland ",),
}
"""What the trade also writes for the letters of a series; general knowledge, no source."""


_PARTS_OF_THE_WORLD = {
    "North America": (14, 72, -170, -50),
    "Europe": (35, 72, -25, 45),
    "United Kingdom": (49.8, 61, -8.7, 2),
    "New Zealand": (-48, -34, 166, 179),
    "Australia": (-44, -10, 112, 154),
    "South Africa": (-35, -22, 16, 33),
    "Japan": (30, 46, 129, 146),
    "China": (21, 54, 73, 124),
    "India": (8, 36, 68, 97),
}
"""South, north, west and east edge of a box about each, in degrees."""


class Rootstock(msgspec.Struct, frozen=True, kw_only=True):
    """One rootstock. Traits that nobody has published are missing from the mappings: unknown is unknown.

    numbers: size_percent (percent of a tree on seedling), years_to_first_crop (years from planting); of seedling also
      garden_height (m, a pruned tree) and spur_scion_ratio (size of a spur-type tree by that of another).
    findings: hardiness as a whole, hardiness_root, hardiness_wood and hardiness_autumn (very_hardy, hardy, moderate,
      tender); anchorage (good, moderate, weak); union (strong, moderate, brittle); staking (not_needed, early_years,
      permanent); precocity (early, medium, late); replant, drought, wet_soil, poor_soil, lime, salt, heat, virus
      (tolerant, moderate, sensitive); crown_rot, fire_blight, woolly_apple_aphid (resistant, moderately_resistant,
      susceptible, very_susceptible); suckering, burr_knots (few, some, many).
    """

    id: str
    name: str
    commonly_sold_in: tuple[str, ...] = ()
    """Parts of the world whose nurseries commonly sell trees on it. Empty: not commonly sold, as far as is known."""
    numbers: dict[str, Estimate] = {}
    findings: dict[str, Finding] = {}

    @property
    def size(self) -> float:
        """Size as a share of a tree on seedling; raises KeyError where none is known."""
        return self.numbers["size_percent"].value / 100


class RootstockRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row of adopted/rootstocks.csv: a number has a deviation, a class an agreement."""

    rootstock_id: str
    name: str
    trait: str
    value: str
    basis: Basis
    deviation: float | None = None
    agreement: float | None = None
    unit: str = ""
    observations: int = 0
    sources: tuple[str, ...] = ()


class SoldRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row of space/commonly_sold.csv."""

    rootstock_id: str
    where: tuple[str, ...]
    source_id: str


@functools.lru_cache(maxsize=2)
def rootstocks(directory: Path | None = None) -> dict[str, Rootstock]:
    """Every rootstock by id, smallest tree first, those of unknown size last. Raises TableError for a bad row."""
    root = directory or TABLES
    path = root / "adopted" / "rootstocks.csv"
    sold: dict[str, tuple[str, ...]] = {}
    for told in rows(root / "space" / "commonly_sold.csv", SoldRow, ("where",)):
        sold[told.rootstock_id] = (*sold.get(told.rootstock_id, ()), *told.where)
    by_id: dict[str, list[tuple[int, RootstockRow]]] = {}
    for line, row in enumerate(rows(path, RootstockRow, ("sources",)), start=2):
        by_id.setdefault(row.rootstock_id, []).append((line, row))
    found = [_record(path, stock, told, sold.get(stock, ())) for stock, told in by_id.items()]
    found.sort(
        key=lambda stock: (stock.numbers["size_percent"].value if "size_percent" in stock.numbers else 1e9, stock.id)
    )
    return {stock.id: stock for stock in found}


@functools.cache
def rootstock_names() -> NameIndex:
    """The index of rootstocks by id, name and other spellings of their series."""
    names = {stock.id: stock.name for stock in rootstocks().values()}
    aliases = [
        (stock, written + name.removeprefix(series))
        for stock, name in names.items()
        for series, others in SERIES.items()
        if name.startswith(series)
        for written in others
    ]
    return NameIndex(names, aliases)


def commonly_sold(latitude: float | None, longitude: float | None, cold_winters: bool = False) -> frozenset[str]:
    """Ids of the rootstocks that nurseries commonly sell in that part of the world; everywhere, if it is not told."""
    parts = {"everywhere"} | ({"cold-winter regions"} if cold_winters else set())
    if latitude is not None and longitude is not None:
        for part, (south, north, west, east) in _PARTS_OF_THE_WORLD.items():
            if south <= latitude <= north and west <= longitude <= east:
                parts.add(part)
    return frozenset(stock.id for stock in rootstocks().values() if parts & set(stock.commonly_sold_in))


def _record(path: Path, stock: str, told: Sequence[tuple[int, RootstockRow]], sold: tuple[str, ...]) -> Rootstock:
    numbers: dict[str, Estimate] = {}
    findings: dict[str, Finding] = {}
    for line, row in told:
        if row.trait in numbers or row.trait in findings:
            raise TableError(f"{path.name}, line {line}, column trait: {row.trait!r} of {stock!r} stands twice")
        if row.deviation is not None:
            try:
                value = float(row.value)
            except ValueError:
                raise TableError(f"{path.name}, line {line}, column value: Expected a number") from None
            numbers[row.trait] = Estimate(
                value=value, deviation=row.deviation, unit=row.unit, basis=row.basis,
                observations=row.observations, sources=row.sources,
            )  # fmt: skip
        elif row.agreement is not None:
            findings[row.trait] = Finding(
                value=row.value, agreement=row.agreement, basis=row.basis,
                observations=row.observations, sources=row.sources,
            )  # fmt: skip
        else:
            raise TableError(f"{path.name}, line {line}, column deviation: Expected a deviation or an agreement")
    return Rootstock(id=stock, name=told[0][1].name, commonly_sold_in=sold, numbers=numbers, findings=findings)
