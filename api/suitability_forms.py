"""Ranked cultivars in other forms than JSON: a table, and a picture of their bloom and picking."""

from collections.abc import Iterator

from api import svg
from api.answer_forms import Form
from api.season_bars import MOST_ROWS, Bar, Mark, in_words, season_bars
from api.stripped_bars import UNLESS_STRIPPED, stripped_bars
from api.svg import IMAGE_SVG, WIDTH_PX
from api.tables_of_answers import TEXT_CSV, Cell, table
from domain.planting_list.list_answer import PlantedTree
from domain.site_climate.site import Site
from domain.suitability.suitabilities import SuitabilitiesAnswer
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import SuitabilityRequest
from domain.tables.words import label, say

OF_CULTIVAR = ("cultivar", "id", "asked", "sold_as", "uses", "verdict", "rank_value")
"""Columns of tables whose rows are of a cultivar, each the field of its name."""
COLUMNS = (
    "rank",
    *OF_CULTIVAR,
    "years_in_ten",
    "years_in_ten_low",
    "years_in_ten_high",
    "limiting",
    "survives_ten_years",
    "first_crop_after_years",
    "first_crop_at_the_latest_years",
    "sound_fruit_unsprayed",
    "quality_here",
    "first_bloom",
    "full_bloom",
    "petal_fall",
    "picking_from",
    "picking_to",
    "keeps_weeks",
    "keeps_at_most_weeks",
    "verdict_if_warmer",
    "words",
)
"""A row is a cultivar, the best first. Days are MM-DD."""


def as_table(_: SuitabilityRequest, answered: SuitabilitiesAnswer) -> str:
    """The ranked cultivars as a table."""
    return table(COLUMNS, _rows(answered))


def of_cultivar(one: Suitability | PlantedTree) -> dict[str, Cell]:
    """The cells of `OF_CULTIVAR`."""
    return {name: getattr(one, name) for name in OF_CULTIVAR}


def _rows(answered: SuitabilitiesAnswer) -> Iterator[dict[str, Cell]]:
    for rank, one in enumerate(answered.suitabilities, start=1):
        row: dict[str, Cell] = {
            "rank": rank,
            **of_cultivar(one),
            "limiting": one.limiting,
            "survives_ten_years": one.survives_ten_years,
            "first_crop_after_years": one.years_to_first_crop[0],
            "first_crop_at_the_latest_years": one.years_to_first_crop[1],
            "sound_fruit_unsprayed": one.sound_fruit_unsprayed,
            "quality_here": one.quality_here,
            "verdict_if_warmer": None if one.if_warmer is None else one.if_warmer.verdict,
            "words": one.words,
        }
        if (years := one.cropping_years_in_ten) is not None:
            row |= {"years_in_ten": years.likely, "years_in_ten_low": years.low, "years_in_ten_high": years.high}
        if (bloom := one.bloom) is not None:
            row |= {"first_bloom": bloom.first, "full_bloom": bloom.full, "petal_fall": bloom.petal_fall}
        if one.harvest is not None:
            row |= {"picking_from": one.harvest.first, "picking_to": one.harvest.last}
        if one.storage_weeks is not None:
            row |= {"keeps_weeks": one.storage_weeks[0], "keeps_at_most_weeks": one.storage_weeks[1]}
        yield row


def as_picture(asked: SuitabilityRequest, answered: SuitabilitiesAnswer) -> str:
    """Bloom and picking of the best cultivars, in the order of the answer."""
    rows = [(one.id, bar) for one in answered.suitabilities for bar in _bars(one)]
    bars = [bar for _, bar in rows]
    shown, drawn = len({cultivar for cultivar, _ in rows[:MOST_ROWS]}), len({cultivar for cultivar, _ in rows})
    title = say("picture_seasons", shown=shown, cultivars=drawn).words
    without_winter = any(one.stripped is not None for one in answered.suitabilities)
    head = svg.heading(title, [say("picture_stripped" if without_winter else "picture_seasons_told").words], WIDTH_PX)
    unless = any(one.code == UNLESS_STRIPPED for one in answered.suitabilities)
    none = "no_season_unless_stripped" if unless else "no_season"
    return svg.document(title, in_words(bars, none), [head, *season_bars(bars, _frosts(asked.site), none)])


def _frosts(site: Site) -> list[Mark]:
    """The last frost of the spring, as told."""
    frost = site.last_spring_frost
    if frost is None:
        return []
    told = (("frost_median", frost.median), ("frost_one_year_in_ten", frost.later_one_year_in_ten))
    return [Mark(day, label("picture", code)) for code, day in told if day is not None]


def _bars(one: Suitability) -> list[Bar]:
    """The row of a cultivar, or one for each time its leaves are stripped."""
    if one.bloom is None and one.harvest is None:
        return stripped_bars(one.cultivar, one.verdict, one.stripped)
    return [_bar(one)]


def _bar(one: Suitability) -> Bar:
    frost = next((factor.years_in_ten for factor in one.factors if factor.factor == "frost_at_bloom"), None)
    bloom = None if one.bloom is None else (one.bloom.first, one.bloom.full, one.bloom.petal_fall)
    picking = None if one.harvest is None else (one.harvest.first, one.harvest.last)
    return Bar(one.cultivar, bloom=bloom, picking=picking, frost_spares=None if bloom is None else frost)


SUITABILITY_FORMS = (
    Form(TEXT_CSV, "A table, RFC 4180: a row a cultivar, the best first.", as_table),
    Form(IMAGE_SVG, f"A picture of bloom and picking, of the best {MOST_ROWS} cultivars.", as_picture),
)
