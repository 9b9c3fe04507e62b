"""Hardiness, growth and fruit traits from classes, zones, months and days."""

import pytest

from domain.adoption import fruit_traits, genetics, growth, hardiness, reading, storage_life
from domain.tables.cultivars import Estimate, Finding
from domain.tables.loading import load
from domain.tables.observations import Observation
from tests.domain.adoption.made_up import observed


def hardy(*observations: Observation, group: str = "temperate") -> Estimate:
    return hardiness.adopt(observations, {"x": group})["x", "hardiness_c"]


@pytest.mark.parametrize(("zone", "celsius"), [(3.0, -40.0), (4.0, -34.4), (5.5, -26.1), (8.0, -12.2)])
def test_zones_begin_where_the_map_says(zone: float, celsius: float) -> None:
    assert hardiness.usda_zone_c(zone) == pytest.approx(celsius, abs=0.06)


def test_a_canadian_zone_stands_for_a_milder_winter_than_its_number() -> None:
    american = observed("x", "hardiness_zone", "3", numbers=3, scheme="USDA zone")
    prairie = observed("x", "hardiness_zone", "3", numbers=3, note="Canadian plant hardiness zone, not USDA")
    assert hardy(prairie, group="cold_continental").value > hardy(american, group="cold_continental").value + 1.5


def test_hardy_in_england_of_1851_says_less_than_hardy_in_a_freezing_chest() -> None:
    garden = hardy(observed("x", "hardiness", "hardy", scheme="classes derived from the author's phrase"))
    frozen = hardy(
        observed("x", "hardiness", "high", scheme="artificial freezing, damage not over 2.0 points at -38 C")
    )
    assert garden.value > frozen.value + 2.5
    assert garden.deviation > frozen.deviation


def test_who_died_in_a_winter_is_tenderer_than_who_lived() -> None:
    scheme = "winter of 1855-56: entirely destroyed / partially injured / hardy or but slightly injured"
    classes = ("entirely destroyed", "partially injured", "hardy or slightly injured")
    dead, hurt, sound = (hardy(observed("x", "hardiness", word, scheme=scheme)) for word in classes)
    assert dead.value > hurt.value > sound.value


def test_every_cultivar_gets_a_hardiness_from_where_it_came() -> None:
    cold, mild = hardy(group="cold_continental"), hardy(group="subtropical")
    assert cold.basis == mild.basis == "imputed"
    assert cold.value < -35.0 < -25.0 < mild.value
    assert hardy(observed("x", "hardiness", "a verse", scheme="words")).basis == "imputed"


def grown(*observations: Observation, **findings: str) -> dict[str, Estimate | Finding]:
    known = {("x", trait): Finding(value=value, agreement=1.0, basis="published") for trait, value in findings.items()}
    return {trait: value for (_, trait), value in growth.adopt(observations, known).items()}


def test_vigour_is_a_mean_of_texts_and_memory_only_fills_gaps() -> None:
    told = grown(
        observed("x", "vigour", "weak", scheme="words", source_id="a"),
        observed("x", "vigour", "moderate", scheme="words", source_id="b"),
        observed("x", "vigour", "very vigorous", scheme="words", source_id="from-memory"),
    )["vigour"]
    assert isinstance(told, Estimate)
    assert told.value == pytest.approx(2.5)
    assert told.basis == "published"
    remembered = grown(observed("x", "vigour", "weak", scheme="words", source_id="from-memory"))["vigour"]
    assert remembered.basis == "from-memory"


def test_triploids_are_imputed_strong_and_spur_trees_weak_where_no_text_speaks() -> None:
    triploid = grown(ploidy="3")["vigour"]
    spur = grown(observed("x", "growth_form", "spur-type"))["vigour"]
    assert isinstance(triploid, Estimate)
    assert isinstance(spur, Estimate)
    assert triploid.basis == spur.basis == "imputed"
    assert triploid.value > 3.5
    assert spur.value < 2.5
    assert "vigour" not in grown(ploidy="2")


def test_alternation_precocity_and_crop_are_numbers_of_their_own_scale() -> None:
    told = grown(
        observed("x", "biennial", "annual", scheme="words"),
        observed("x", "precocity", "3..4", low=3.0, high=4.0, scheme="first crop after planting"),
        observed("x", "productivity", "3.0", numbers=3.0, scheme="1-5, 1 = very sparse .. 5 = overloaded"),
        observed("x", "preharvest_drop", "high", scheme="notorious"),
    )
    values = {trait: value.value for trait, value in told.items()}
    assert values == {"biennial": 0.15, "precocity_years": 3.5, "productivity": 0.5, "preharvest_drop": 0.82}


def test_a_columnar_gene_or_habit_names_the_form() -> None:
    assert grown(observed("x", "columnar_gene", "Co"))["growth_form"].value == "columnar"
    assert grown(observed("x", "habit", "columnar"))["growth_form"].value == "columnar"
    assert grown(observed("x", "habit", "spreading"))["habit"].value == "spreading"


@pytest.mark.parametrize(
    ("topic", "traits"), [("growth", hardiness.TRAITS), ("growth", frozenset(reading.weighed("texts_first")))]
)
def test_nearly_every_class_of_the_tables_has_a_number(topic: str, traits: frozenset[str]) -> None:
    told = [o for o in load().by_topic[topic] if o.trait in traits]
    silent = [
        o
        for o in told
        if (hardiness.signs(o) if o.trait in hardiness.TRAITS else growth.number(o, reading.numbered_traits()[o.trait]))
        is None
    ]
    assert len(told) > 150
    assert len(silent) <= 0.04 * len(told), sorted({(o.trait, o.published, o.scheme) for o in silent})


def fruit(*observations: Observation) -> dict[str, Estimate | Finding]:
    return {trait: value for (_, trait), value in fruit_traits.adopt(observations).items()}


def test_uses_are_the_trade_s_words_and_a_merged_class_yields_to_texts() -> None:
    merged = observed("x", "use", "dessert", source_id="watts-abc-2021")
    cider = observed("x", "use", "cider", source_id="watts-abc-2021")
    told = observed("x", "use", "cooking", source_id="b")
    either = fruit(merged)["uses"]
    assert isinstance(either, Finding)
    assert (either.value, either.agreement, either.basis) == ("cooking dessert", 0.5, "computed")
    assert fruit(merged, told)["uses"].value == "cooking"
    surveyed = fruit(cider)["uses"]
    assert isinstance(surveyed, Finding)
    assert (surveyed.value, surveyed.agreement, surveyed.basis) == ("cider", 0.72, "computed")
    assert fruit(cider, told)["uses"].value == "cooking"
    assert fruit(observed("x", "use", "dessert, sauce, pie, juice, salad", scheme="words"))["uses"].value == (
        "cooking dessert juice"
    )


def test_months_of_keeping_count_from_the_picking_of_an_early_apple() -> None:
    """Until October is a fortnight for one stored in October, and two months for one picked at the end of August."""
    october = observed("x", "storage_life", "until October")
    late, early = (storage_life.keeping_weeks(october, storage_life.store_month(days)) for days in (10.0, -33.0))
    assert late is not None
    assert early is not None
    assert late == storage_life.keeping_weeks(october)
    assert 2.0 < late[1] < 3.5
    assert 7.0 < early[1] < 10.0
    september = observed("x", "storage_life", "in store until September")
    assert storage_life.keeping_weeks(september) is None
    summer = storage_life.keeping_weeks(september, storage_life.store_month(-60.0))
    assert summer is not None
    assert 6.0 < summer[1] < 10.0


def test_a_cross_is_one_whichever_parent_is_named_first() -> None:
    table = observed("x", "parentage", "B x A", source_id="t", note="the order of the parents does not say which")
    text = observed("x", "parentage", "A x B", source_id="b")
    other = observed("x", "parentage", "A x C", source_id="c")
    told = genetics.parentage([table, text, other])["x", "parentage"]
    assert (told.value, told.agreement, told.conflicts) == ("A x B", 0.67, ("A x C (0.33)",))


def test_a_cross_with_one_parent_unknown_says_the_same_as_the_full_one() -> None:
    half = observed("x", "parentage", "A x unknown", source_id="t")
    full = observed("x", "parentage", "B x A", source_id="b")
    told = genetics.parentage([half, full])["x", "parentage"]
    assert (told.value, told.agreement, told.conflicts) == ("B x A", 1.0, ())
    other = observed("x", "parentage", "A x C", source_id="c")
    assert len(genetics.parentage([half, full, other])["x", "parentage"].conflicts) == 2


@pytest.mark.parametrize(
    ("printed", "flavour"),
    [("sub-acid", "subacid"), ("sweet-tart", "subacid"), ("sweet, no acid", "sweet"),
     ("rich, sweet, medium acid", "subacid"), ("moderate sweetness and acidity", "subacid"),
     ("very acid", "sharp"), ("strongly acid, fairly sweet", "sharp")],
)  # fmt: skip
def test_acid_is_sharp_where_nothing_tempers_it(printed: str, flavour: str) -> None:
    assert fruit(observed("x", "flavour", printed))["flavour"].value == flavour


def test_a_measured_acidity_alone_tells_no_taste() -> None:
    assert "flavour" not in fruit(observed("x", "flavour", "13.8 Brix, 0.43 % acid"))


def test_a_passport_has_no_vote_beside_a_text_of_the_country() -> None:
    passport = observed("x", "origin_place", "United Kingdom", scheme="country", source_id="passports")
    text = observed("x", "origin_place", "Excelsior, Minnesota, United States", source_id="b")
    assert fruit(passport)["origin_country"].value == "United Kingdom"
    assert fruit(passport, text)["origin_country"].value == "United States"


def test_a_striped_fruit_filed_under_its_ground_tells_no_colour() -> None:
    filed = observed("x", "skin", "green", scheme="GRIN main colour class red | green | yellow")
    assert "skin" not in fruit(filed)
    red = observed("x", "skin", "red", source_id="c", scheme="GRIN main colour class red | green | yellow")
    alone = fruit(red)["skin"]
    assert isinstance(alone, Finding)
    assert (alone.value, alone.agreement, alone.observations) == ("red", 0.51, 1)  # or striped, as often
    striped = observed("x", "skin", "bicolour", source_id="d")
    assert (fruit(red, striped)["skin"].value, fruit(red, striped)["skin"].observations) == ("bicolour", 2)
    flushed = observed("x", "skin", "red", source_id="b", note="dark red flush over greenish yellow")
    assert fruit(filed, flushed)["skin"].value == "bicolour"


def test_a_bittersweet_apple_is_for_cider() -> None:
    told = fruit(observed("x", "flavour", "bittersweet", scheme="Long Ashton cider class"))
    assert told["flavour"].value == "bittersweet"
    assert told["uses"].value == "cider"


@pytest.mark.parametrize(
    ("fields", "low", "high"),
    [
        ({"published": "90..180", "low": 90.0, "high": 180.0, "unit": "days"}, 12.9, 25.7),
        ({"published": "4", "low": 4.0, "high": 4.0, "unit": "months"}, 13.0, 17.4),
        ({"published": "3..4", "low": 3.0, "high": 4.0, "unit": "months"}, 13.0, 17.4),
        ({"published": "in cold store until March", "scheme": "words"}, 14.4, 23.9),
        ({"published": "stores poorly", "scheme": "words"}, 2.0, 7.0),
        ({"published": "in use until month 08", "low": 8.0, "high": 8.0, "unit": "month"}, 1.0, 2.0),
    ],
)
def test_keeping_in_weeks(fields: dict[str, object], low: float, high: float) -> None:
    published = str(fields.pop("published"))
    weeks = storage_life.keeping_weeks(observed("x", "storage_life", published, **fields))
    assert weeks is not None
    assert weeks == pytest.approx((low, high), abs=0.1)


def test_a_comparison_without_length_says_nothing_of_keeping() -> None:
    assert storage_life.keeping_weeks(observed("x", "storage_life", "similar to Gala", scheme="words")) is None


def test_a_weight_is_measured_or_else_computed_from_the_diameter() -> None:
    weighed = fruit(observed("x", "fruit_weight_g", "160", numbers=160, unit="g"))["fruit_weight_g"]
    sized = fruit(observed("x", "fruit_size_mm", "70..76", low=70.0, high=76.0, unit="mm"))["fruit_weight_g"]
    assert weighed.basis == "published"
    assert sized.basis == "computed"
    assert isinstance(sized, Estimate)
    assert 130.0 < sized.value < 180.0


def test_of_two_printed_weights_the_smaller_does_not_rule() -> None:
    small = observed("x", "fruit_weight_g", "95", numbers=95, unit="g", source_id="a")
    large = observed("x", "fruit_weight_g", "265", numbers=265, unit="g", source_id="b")
    assert fruit(small, large)["fruit_weight_g"].value == pytest.approx(180.0, abs=0.5)


def test_origin_keeps_the_country_and_the_narrower_place() -> None:
    told = fruit(
        observed("x", "origin_place", "Canada"),
        observed("x", "origin_place", "Ottawa, Ontario, Canada", source_id="b"),
        observed("x", "origin_year", "1911", numbers=1911),
    )
    assert told["origin_country"].value == "Canada"
    assert told["origin_place"].value == "Ottawa, Ontario, Canada"
    assert told["origin_year"].value == "1911"


@pytest.mark.parametrize(
    ("printed", "country", "place"),
    [
        ("Devon", "United Kingdom", "Devon"),
        ("Scotland", "United Kingdom", "Scotland"),
        ("South Tyrol", "Italy", "South Tyrol"),
        (
            "Belarusian Research Institute for Fruit Growing",
            "Belarus",
            "Belarusian Research Institute for Fruit Growing",
        ),
        ("USA", "United States", None),
        ("Macedonia", "North Macedonia", None),
        ("France, before 1700", "France", None),
        ("Europe", None, None),
        ("Former Soviet Union", "Former Soviet Union", None),
    ],
)
def test_a_place_printed_without_its_country_is_kept(printed: str, country: str | None, place: str | None) -> None:
    told = fruit(observed("x", "origin_place", printed))
    values = [told[trait].value if trait in told else None for trait in ("origin_country", "origin_place")]
    assert values == [country, place]
