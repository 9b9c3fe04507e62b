"""The records of cultivars as the rest of the domain reads them: adopted traits with spread, basis and sources."""

from typing import Literal

import msgspec

Basis = Literal["published", "computed", "imputed", "from-memory"]
Shelf = Literal["advised", "listed"]
Kind = Literal["apple", "crab_apple"]

DISEASES = (
    "scab",
    "fire_blight",
    "powdery_mildew",
    "cedar_apple_rust",
    "canker",
    "bitter_rot",
    "black_rot",
    "white_rot",
    "glomerella_leaf_spot",
    "sooty_blotch_flyspeck",
)
"""Diseases with a tolerance; `Cultivar.susceptibility` uses these names."""


class Estimate(msgspec.Struct, frozen=True, kw_only=True):
    """One adopted number: its middle, its standard deviation (what we do not know), and where it comes from."""

    value: float
    spread: float
    unit: str
    basis: Basis
    observations: int = 0
    sources: tuple[str, ...] = ()
    inherited_from: str | None = None


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One adopted class or set of words, with the share of the evidence that agrees (0 to 1) and its sources."""

    value: str
    agreement: float
    basis: Basis
    observations: int = 0
    sources: tuple[str, ...] = ()
    inherited_from: str | None = None
    conflicts: tuple[str, ...] = ()


class Alias(msgspec.Struct, frozen=True, kw_only=True):
    """Another name of a cultivar: `synonym`, `trade_designation`, or `spelling`."""

    name: str
    kind: str
    source_id: str


class Cultivar(msgspec.Struct, frozen=True, kw_only=True):
    """One cultivar of the catalogue. Absent traits are None or missing from the mapping: unknown is unknown.

    numbers: trait -> Estimate. Traits and units:
      chill_portions (CP) need; bloom_offset_days (d, 0 = Golden Delicious full bloom on the adopted reference scale);
      bloom_length_days (d); ripening_offset_days (d, 0 = Golden Delicious picking on the adopted reference scale);
      storage_weeks_low, storage_weeks_high (weeks, cold store); hardiness_c (C, mean yearly minimum of the coldest
      place where it stands well); vigour (1 very weak .. 5 very strong); precocity_years (years to first crop on a
      semi-dwarfing stock);
      biennial (0..1); preharvest_drop (0..1); productivity (0..1); heat_tolerance (0..1); sunburn (0..1 susceptible);
      bitter_pit (0..1); water_core (0..1); woolly_apple_aphid (0..1); codling_moth (0..1);
      susceptibility_<disease> (0 immune .. 1 very susceptible); fruit_weight_g (g).
    findings: trait -> Finding. ploidy ("2", "3", "4"); s_genotype ("S2 S5" sorted, or "S1 S3 S9" of a triploid);
      pollen ("viable", "poor"); self_fertility ("self_incompatible", "partly_self_fertile", "self_fertile");
      uses (space separated: dessert cooking cider drying juice); flavour; skin; growth_form ("standard",
      "spur", "columnar", "weeping"); habit; fruiting_habit ("spur", "tip", "partial_tip");
      scab_gene ("Rvi6" ...); origin_country; origin_place; origin_year; parentage; adaptation ("low_chill" ...);
      blooms_with (space separated ids that a text says to bloom at the same time).
    """

    id: str
    name: str
    shelf: Shelf
    kind: Kind
    sport_of: str | None = None
    aliases: tuple[Alias, ...] = ()
    numbers: dict[str, Estimate] = {}
    findings: dict[str, Finding] = {}
    recommended_by: int = 0
    """How many extension services' lists name it; for information, never an input of a score."""
