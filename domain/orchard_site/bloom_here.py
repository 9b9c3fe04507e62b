"""When some cultivars bloom at one site, in each of its years, moved by the dates seen there."""

from domain.orchard_site.conditions import SiteConditions
from domain.traits.trait_table import TraitTable
from domain.tree_year.bloom import BloomDays, bloom_days


def bloom_here(conditions: SiteConditions, traits: TraitTable) -> BloomDays:
    """Season days (cultivars, seasons) of bloom; kept with the site, since lists, pairs and calendars all ask."""
    return conditions.kept.get("bloom", traits, lambda: _bloom(conditions, traits))


def _bloom(conditions: SiteConditions, traits: TraitTable) -> BloomDays:
    bloom = conditions.kept_alike.get("bloom", traits, lambda: _as_computed(conditions, traits))
    if conditions.observed is None:
        return bloom
    return bloom.later(conditions.observed.bloom.days([cultivar.id for cultivar in traits.cultivars]))


def _as_computed(conditions: SiteConditions, traits: TraitTable) -> BloomDays:
    value = traits.value
    return bloom_days(conditions.clock, value["chill_portions"], value["bloom_offset_days"], value["bloom_length_days"])
