"""Where each published trait belongs: one name for what several texts name differently, one topic table each."""

import re
from pathlib import Path

import reference_tables
from reference_tables.building import values
from reference_tables.building.published import Row, read_table
from reference_tables.building.schemas.fruits import FRUIT

UNIFIED = {
    "bloom_start": "first_bloom",
    "bloom_length": "bloom_duration_days",
    "harvest_offset": "days_from_reference",
    "bloom_offset": "bloom_days_from_reference",
    "days_full_bloom_to_harvest": "days_from_full_bloom",
    "biennial_tendency": "biennial",
    "harvest_class": "ripening_class",
    "winter_hardiness": "hardiness",
    "hardiness_zone_min": "hardiness_zone",
    "mildew": "powdery_mildew",
    "rust": "cedar_apple_rust",
    "sooty_blotch": "sooty_blotch_flyspeck",
    "flyspeck": "sooty_blotch_flyspeck",
    "storage": "storage_life",
    "uses": "use",
    "pollen": "pollen_viability",
    "s_genotype": "s_alleles",
    "yield": "productivity",
    "glomerella": "glomerella_leaf_spot",
}

DISEASES = tuple(row["disease"] for row in read_table(Path(reference_tables.__file__).parent / f"{FRUIT}/diseases.csv"))
"""The diseases that cultivars are rated for."""

TOPICS = {
    "bloom": "first_bloom full_bloom petal_fall bloom_class bloom_group bloom_duration_days bloom_window "
    "bloom_days_from_reference",
    "bloom_heat": "bloom_heat_requirement bloom_heat_sum heat_requirement",
    "ripening": "harvest_mid harvest_start harvest_end harvest_window days_from_full_bloom days_from_reference "
    "ripening_class ripening_order months_in_use days_budbreak_to_harvest maturity_window shipping_end "
    "harvest_best_fresh harvest_best_store",
    "pollination": "ploidy s_alleles parentage pollen_viability self_fertility sport_of cross",
    "chill": "chill_requirement chill_class adapted_at_chill low_chill_adapted failed_for_chill",
    "disease": f"{' '.join(DISEASES)} rots crown_rot scab_gene woolly_apple_aphid codling_moth",
    "growth": "vigour habit growth_form columnar_gene fruiting_habit precocity precocity_years productivity biennial "
    "hardiness hardiness_zone heat_tolerance sunburn",
    "fruit": "use flavour skin flesh_colour storage_life flesh_firmness fruit_weight_g fruit_size_mm preharvest_drop "
    "hangs_on_tree bitter_pit water_core russeting origin_place origin_year origin_country",
    "recommendations": "recommended",
}
"""Topic table -> its traits."""

TOPIC_OF = {trait: topic for topic, traits in TOPICS.items() for trait in traits.split()}

SITING = {
    "ripening": TOPICS["ripening"].split(),
    "bloom": TOPICS["bloom"].split(),
    "chill": TOPICS["chill"].split(),
    "hardiness": ["hardiness", "hardiness_zone"],
    "disease": [trait for trait in TOPICS["disease"].split() if trait not in ("rots", "crown_rot")],
    "growth": ["vigour", "habit", "growth_form", "fruiting_habit", "precocity", "precocity_years", "columnar_gene"],
}
"""Groups of traits that decide whether a cultivar is advised or listed."""


def unified(trait: str, row: Row) -> str:
    """The one name of a trait, told apart where a text files one thing under another's name."""
    value = row["value"].lower()
    if trait == "habit" and "bearing" in value:
        return "fruiting_habit"
    if trait in ("precocity_years", "years_to_first_crop"):
        return "precocity_years" if any(character.isdigit() for character in value[:2]) else "precocity"
    if trait == "ripening_class" and row.get("list_id") == "gb-hogg-1851":
        return "months_in_use"
    if trait == "growth_form" and not _FORM.search(value):
        return "habit"
    if trait == "hardiness" and "zone" in row.get("scheme", "").lower() and values.is_zone(value):
        return "hardiness_zone"
    if trait == "rust" and "yamadae" in row.get("note", ""):
        return "japanese_apple_rust"
    return UNIFIED.get(trait, trait)


_FORM = re.compile(r"^(columnar|spur-type|standard$|weeping|dwarf|natural genetic dwarf)")
"""How a growth form begins; what else stands under that name says how the crown grows."""


def words(trait: str, value: str) -> str:
    """A value as printed, with the one change that a fruiting habit is named by its class."""
    return value.removesuffix("-bearing") if trait == "fruiting_habit" else value
