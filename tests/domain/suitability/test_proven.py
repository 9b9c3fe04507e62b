"""What is known to do well in like climates, with made-up witnesses: what they may say, and what they may not."""

from collections.abc import Sequence

import msgspec
import numpy as np
import pytest

from domain.site_climate.climate_figures import ClimateFigures, climate_figures
from domain.site_climate.site import Site
from domain.suitability.suitability_answer import Factor, Suitability
from domain.tables.cultivars import Cultivar, Finding
from domain.tables.witnesses import Says, Witness, WitnessPlace
from domain.traits.told_near_by import passed_over
from domain.traits.witnesses import gathered
from tests.domain.suitability.made_up import apple, judged
from tests.shared import STANDARD_SITES, clock, site, years

HERE = STANDARD_SITES["damp and mild"]
COLD = STANDARD_SITES["cold"]


def climate(of: Site) -> ClimateFigures:
    return climate_figures(years(of), clock(of))


def place(name: str, of: Site, *, latitude: float | None = None, longitude: float | None = None) -> WitnessPlace:
    """A place with the climate of a site, on wish somewhere else on earth."""
    figures = climate(of)
    return WitnessPlace(
        place_id=name,
        place=name,
        latitude=of.latitude if latitude is None else latitude,  # type: ignore[arg-type]  # these sites have one
        longitude=of.longitude if longitude is None else longitude,  # type: ignore[arg-type]  # these sites have one
        **{figure: getattr(figures, figure) for figure in ClimateFigures.__dataclass_fields__},
    )


def witness(
    cultivar: str, at: str = "near", document: str = "a", says: Says = "does_well", year: int | None = 2015
) -> Witness:
    return Witness(
        source_id=document, place_id=at, cultivar_id=cultivar, kind="orchard_grows", says=says, weight=1.0, year=year
    )


NEAR, FAR = place("near", HERE), place("far", HERE, latitude=-41.0, longitude=173.0)
UNLIKE = place("unlike", COLD)
PLACES = (NEAR, FAR, UNLIKE)


def heard(*apples: Cultivar, witnesses: Sequence[Witness], at: Site = HERE) -> dict[str, Factor]:
    """The factor of each apple by name."""
    return {name: proven(one) for name, one in judged(at, *apples, witnesses=witnesses, places=PLACES).items()}


def proven(of: Suitability) -> Factor:
    return next(factor for factor in of.factors if factor.factor == "proven_in_like_climates")


def many(cultivar: str, at: str, count: int = 6, **rest: object) -> list[Witness]:
    return [witness(cultivar, at, document=f"{at} {n}", **rest) for n in range(count)]  # type: ignore[arg-type]  # by name


def raised(name: str, year: int) -> Cultivar:
    one = apple(name)
    origin = Finding(value=str(year), agreement=1.0, basis="published")
    return msgspec.structs.replace(one, findings={**one.findings, "origin_year": origin})


def test_no_witness_is_neither_good_nor_bad_and_wide() -> None:
    found = heard(apple("Unmet"), apple("Met"), witnesses=many("met", "near"))["Unmet"]
    assert found.share.likely == 0.5
    assert found.share.low < 0.35
    assert found.share.high > 0.65
    assert (found.basis, found.code) == ("assumed", "proven_unknown")
    assert found.values == {}


def test_who_is_met_near_by_more_than_elsewhere_is_lifted_and_the_place_is_named() -> None:
    told = [*many("local", "near"), *many("stranger", "unlike"), witness("stranger", "near", "a")]
    found = heard(apple("Local"), apple("Stranger"), witnesses=told)
    assert found["Local"].share.likely > 0.5 > found["Stranger"].share.likely
    assert found["Local"].values["place"] == "near"
    assert found["Local"].values["distance_km"] == 0


def test_a_like_climate_far_away_tells_less_than_one_near_by_and_more_than_an_unlike_one() -> None:
    told = [*many("near", "near"), *many("far", "far"), *many("unlike", "unlike")]
    found = heard(apple("Near"), apple("Far"), apple("Unlike"), witnesses=told)
    assert found["Near"].share.likely > found["Far"].share.likely > found["Unlike"].share.likely
    assert found["Near"].share.high - found["Near"].share.low < found["Far"].share.high - found["Far"].share.low


def test_a_document_has_one_vote_for_a_cultivar() -> None:
    others = many("other", "unlike")
    once = heard(apple("Local"), witnesses=[*others, witness("local")])["Local"]
    again = heard(apple("Local"), witnesses=[*others, witness("local"), witness("local"), witness("local", "far")])
    assert again["Local"].share == once.share


def test_orchards_of_one_village_say_less_than_as_many_of_several() -> None:
    """Whatever they are called: a village is told by where it lies."""
    assert HERE.latitude is not None
    villages = tuple(place(f"near {n}", HERE, latitude=HERE.latitude + 0.2 * n) for n in range(4))
    same = tuple(place(f"same {n}", HERE) for n in range(4))
    others = [witness(f"other {n}", "unlike", f"unlike {n}") for n in range(60)]
    of_one = [witness("local", f"same {n}", f"near {n}") for n in range(4)]
    of_four = [witness("local", f"near {n}", f"near {n}") for n in range(4)]
    single, one, four = (
        proven(
            judged(HERE, apple("Local"), witnesses=[*others, *told], places=(*villages, *same, UNLIKE))["Local"]
        ).share
        for told in (of_one[:1], of_one, of_four)
    )
    assert single.likely < one.likely < four.likely
    assert single.high - single.low > one.high - one.low > four.high - four.low


def test_two_voices_speak_for_what_does_well_and_not_for_what_can_be_had() -> None:
    apples = (apple("Local"), apple("Other"))
    once = [witness("local", document="s"), *many("other", "unlike", 40)]
    twice = [msgspec.structs.replace(one, voices=2.0) if one.source_id == "s" else one for one in once]
    assert heard(*apples, witnesses=twice)["Local"].share.likely > heard(*apples, witnesses=once)["Local"].share.likely
    km = np.array([50.0, 18_000.0, 2_000.0])
    had = [passed_over(gathered(told, PLACES, apples), km).tolist() for told in (once, twice)]
    assert had[0] == had[1]
    assert 0.0 < had[0][0] < had[0][1]


def test_who_advises_against_it_takes_back_that_it_is_known_and_not_that_it_can_be_had() -> None:
    told = [*many("rejected", "near"), *many("kept", "near")]
    ill = [witness("rejected", document=f"r{n}", says="fails") for n in range(len(told))]
    apples, km = (apple("Rejected"), apple("Kept")), np.array([50.0, 18_000.0, 2_000.0])
    spoken = gathered([*told, *ill], PLACES, apples)
    rejected, kept = passed_over(spoken, km)
    assert rejected > kept
    had = passed_over(spoken, km, however_early=True)
    assert had[0] == had[1]


def test_failures_only_lower() -> None:
    told = [*many("other", "near"), *many("other", "unlike")]
    rejected = [witness("bad", document="r", says="fails"), *many("worse", "unlike", says="fails")]
    found = heard(apple("Bad"), apple("Worse"), apple("Unmet"), witnesses=[*told, *rejected])
    assert found["Bad"].share.likely < 0.45
    assert found["Bad"].code == "proven_fails"
    assert found["Worse"].share.likely == pytest.approx(0.5, abs=0.01)  # failed elsewhere: no praise here
    assert found["Unmet"].share.likely == 0.5


def test_a_new_cultivar_is_not_missed_where_nobody_could_have_had_it() -> None:
    """Both are met elsewhere today; the documents of this place are older than the one."""
    told = [*many("common", "near", year=1995), *many("old", "unlike"), *many("new", "unlike")]
    found = heard(raised("Old", 1850), raised("New", 2000), apple("Common"), witnesses=told)
    assert found["New"].share.likely > found["Old"].share.likely


def test_among_equals_what_this_part_of_the_world_knows_stands_first_and_no_new_cultivar_sinks() -> None:
    """They are known next door, in another climate, so that they are proven alike; the new one nobody could name."""
    beside = place("beside", COLD, latitude=HERE.latitude, longitude=HERE.longitude)
    told = [*many("known", "beside"), *many("old", "unlike"), *many("new", "unlike", year=2024)]
    apples = (apple("Known"), raised("Old", 1850), raised("New", 2014))
    found = judged(HERE, *apples, witnesses=told, places=(beside, UNLIKE))
    assert all(proven(one).share.likely == pytest.approx(0.5, abs=0.002) for one in found.values())
    assert len({one.verdict for one in found.values()}) == 1
    rank = {name: one.rank_value or 0.0 for name, one in found.items()}
    assert rank["New"] == pytest.approx(rank["Known"], abs=0.005)
    assert 0.005 < rank["Known"] - rank["Old"] < 0.05
    unasked = judged(HERE, *apples, witnesses=told, places=(beside, UNLIKE), weights={"crop": 1.0})
    assert len({one.rank_value for one in unasked.values()}) == 1


def test_few_witnesses_lean_on_those_of_the_sport() -> None:
    told = [*many("parent", "near"), *many("other", "unlike")]
    sport = msgspec.structs.replace(apple("Sport"), sport_of="parent")
    found = heard(apple("Parent"), sport, apple("Unrelated"), witnesses=told)
    assert found["Parent"].share.likely > found["Sport"].share.likely > found["Unrelated"].share.likely


def test_where_nobody_told_the_site_no_place_is_near() -> None:
    unplaced = site(latitude=51.2, winter_minimum={"mean_annual_minimum_c": -9.0}, warmest_month_mean_c=17.5)
    found = heard(apple("Local"), apple("Other"), witnesses=many("local", "near"), at=unplaced)["Local"]
    assert "place" not in found.values
    assert found.share.high - found.share.low > 0.4


def verdicts(at: Site, one: Cultivar, told: Sequence[Witness], places: Sequence[WitnessPlace]) -> tuple[str, str]:
    """Without and with the witnesses."""
    before = judged(at, one)[one.name].verdict
    return before, judged(at, one, witnesses=told, places=places)[one.name].verdict


def test_witnesses_lift_a_refusal_for_want_of_warmth_by_one_class_and_no_more() -> None:
    cool = STANDARD_SITES["cool and rainy"]
    late = apple("Late", ripening_offset_days=60)
    told = [*many("late", "near"), *many("other", "unlike", 30)]
    assert verdicts(cool, late, told, (place("near", cool), UNLIKE)) == ("not_here", "worth_trying")


SHORT_OF_CHILL = site(latitude=33.7, longitude=-117.8, winter_chill={"measure": "chill_portions", "mean": 40})


def test_who_grows_it_there_knows_better_than_a_doubtful_need_of_chill() -> None:
    """A need that may well be met where it is grown; one that cannot be is left as it was."""
    low = apple("Low", chill_portions=(15, 3))
    for need, spread, expected in ((38, 8, ("worth_trying", "plant")), (48, 2, ("worth_trying", "worth_trying"))):
        one = apple("Grown", chill_portions=(need, spread))
        told = [*many("grown", "near"), *many("other", "unlike", 30)]
        places = (place("near", SHORT_OF_CHILL), UNLIKE)
        before = judged(SHORT_OF_CHILL, low, one)["Grown"].verdict
        after = judged(SHORT_OF_CHILL, low, one, witnesses=told, places=places)["Grown"].verdict
        assert (before, after) == expected


def test_a_place_where_leaves_are_stripped_tells_nothing_of_chill() -> None:
    """The like climate near by, but without a winter: its months hardly differ and no night takes the leaves."""
    low, one = apple("Low", chill_portions=(15, 3)), apple("Grown", chill_portions=(38, 8))
    told = [*many("grown", "near"), *many("other", "unlike", 30)]
    winter = place("near", SHORT_OF_CHILL)
    middle = (winter.warmest_month_c + winter.coldest_month_c) / 2
    stripped = msgspec.structs.replace(
        winter, warmest_month_c=middle + 2.0, coldest_month_c=middle - 2.0, yearly_minimum_c=2.0
    )
    found = {
        name: judged(SHORT_OF_CHILL, low, one, witnesses=told, places=(of, UNLIKE))["Grown"]
        for name, of in (("winter", winter), ("stripped", stripped))
    }
    assert (found["winter"].verdict, found["winter"].code) == ("plant", "verdict_plant_as_grown_alike")
    assert found["stripped"].verdict == "worth_trying"


def test_a_like_climate_with_no_more_chill_tells_that_it_suffices_wherever_it_lies() -> None:
    """One other voice near by makes the cultivar met often; the far place alone tells of its chill."""
    low, one = apple("Low", chill_portions=(15, 3)), apple("Grown", chill_portions=(38, 8))
    colder = msgspec.structs.replace(place("near", SHORT_OF_CHILL), chill_portions=60.0)
    far = place("far", SHORT_OF_CHILL, latitude=-32.0, longitude=116.0)
    told = [*many("grown", "near"), *many("other", "unlike", 30)]
    found = [
        judged(SHORT_OF_CHILL, low, one, witnesses=heard_too, places=(colder, far, UNLIKE))["Grown"].verdict
        for heard_too in (told, [*told, *many("grown", "far", 2)])
    ]
    assert found == ["worth_trying", "plant"]


@pytest.mark.parametrize(
    ("warmest_c", "changed"), [(9.0, {"weight": 2.0}), (0.0, {"kind": "trial"})], ids=["little alike", "on trial"]
)
def test_places_little_alike_and_trials_do_not_tell_that_chill_suffices(
    warmest_c: float, changed: dict[str, object]
) -> None:
    """As in the test before, but for one thing: the heavy word of a service on a hotter place, or a mere trial."""
    low, one = apple("Low", chill_portions=(15, 3)), apple("Grown", chill_portions=(38, 8))
    colder = msgspec.structs.replace(place("near", SHORT_OF_CHILL), chill_portions=60.0)
    far = place("far", SHORT_OF_CHILL, latitude=-32.0, longitude=116.0)
    far = msgspec.structs.replace(far, warmest_month_c=far.warmest_month_c + warmest_c)
    told = [*many("grown", "near"), *many("other", "unlike", 30)]
    told.extend(msgspec.structs.replace(other, **changed) for other in many("grown", "far", 1))
    assert judged(SHORT_OF_CHILL, low, one, witnesses=told, places=(colder, far, UNLIKE))["Grown"].verdict == (
        "worth_trying"
    )


def test_witnesses_do_not_speak_for_fruit_that_disease_spoils_unsprayed() -> None:
    """Met often here, by those who spray; asked with no spray it stays where its disease puts it."""
    taken = apple("Taken", susceptibility_scab=0.9, ripening_offset_days=-30)
    clean = apple("Clean", susceptibility_scab=0.1, ripening_offset_days=-30)
    told = [*many("taken", "near", 12), *many("clean", "near", 12), *many("other", "unlike", 60)]
    verdicts_of = judged(HERE, taken, clean, witnesses=told, places=PLACES, no_spray=True)
    assert proven(verdicts_of["Taken"]).share.low > 0.5
    assert (verdicts_of["Taken"].verdict, verdicts_of["Clean"].verdict) == ("worth_trying", "plant")


def test_witnesses_lift_nothing_whose_fruit_heat_makes_poor() -> None:
    """Orchards in the hills near by do not tell what its fruit is worth in the heat below."""
    hot = site(latitude=36.75, longitude=-119.8, elevation_m=90)
    stands = apple("Stands", heat_tolerance=(0.9, 0.1), ripening_offset_days=-30)
    supposed = apple("Supposed", without=("heat_tolerance",), ripening_offset_days=-45)
    told = [*many("supposed", "near", 12), *many("other", "unlike", 60)]
    found = judged(hot, stands, supposed, witnesses=told, places=(place("near", hot), UNLIKE))["Supposed"]
    assert proven(found).share.low > 0.5
    assert (found.verdict, found.limiting) == ("worth_trying", "fruit_quality")


def test_votes_of_a_sport_count_in_part_as_those_of_its_tree() -> None:
    """Votes for a sport tell of the tree, and less than as many votes for itself."""
    sport = msgspec.structs.replace(apple("Sport"), sport_of="parent")
    others = many("other", "unlike")
    shares = [
        heard(apple("Parent"), sport, witnesses=[*others, *many(of, "near")])["Parent"].share.likely
        for of in ("other", "sport", "parent")
    ]
    assert shares[0] == 0.5 < shares[1] < shares[2]


def test_witnesses_lift_no_refusal_for_cold() -> None:
    told = [*many("tender", "near"), *many("other", "unlike", 30)]
    near, far = place("near", COLD), place("unlike", HERE)
    assert verdicts(COLD, apple("Tender", hardiness_c=-18), told, (near, far)) == ("not_here", "not_here")


def test_failures_lower_by_one_class_and_never_alone_forbid() -> None:
    sound = apple("Sound", ripening_offset_days=-50)
    told = [*many("sound", "near", 30, says="fails"), *many("other", "near", 10), *many("sound", "unlike", 30)]
    assert verdicts(HERE, sound, told, (NEAR, UNLIKE)) == ("plant", "worth_trying")
    found = judged(HERE, sound, witnesses=told, places=(NEAR, UNLIKE))["Sound"]
    assert found.limiting == "proven_in_like_climates"


def test_what_is_proven_orders_unless_asked_not_to() -> None:
    told = [*many("known", "near"), *many("other", "unlike", 30)]
    known, unmet = apple("Known"), apple("Unmet")

    def ranks(**weights: float) -> list[float | None]:
        found = judged(HERE, known, unmet, witnesses=told, places=PLACES, weights=weights or None)
        return [found[name].rank_value for name in ("Known", "Unmet")]

    with_it, without = ranks(), ranks(crop=5.0, quality=1.5)
    assert (with_it[0] or 0.0) > (with_it[1] or 0.0) + 0.03
    assert without[0] == without[1]
