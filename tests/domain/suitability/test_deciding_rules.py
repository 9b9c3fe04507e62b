"""What the rules that decide advice are for: each test fails when its rule is undone or made to count for little.

The apples are made up (made_up.py), so that one thing differs between two of them; they are judged by the public call.
The bounds leave room for other constants; they hold the direction and that the effect is large enough to decide.
"""

import pytest

from domain.fruit.diseases import DISEASES
from domain.site_climate.site import Site
from tests.domain.suitability.made_up import apple, judged, ranks
from tests.shared import STANDARD_SITES, site

DAMP, RAINY, DRY = (STANDARD_SITES[name] for name in ("damp and mild", "cool and rainy", "dry and warm"))
SHORT_OF_CHILL = site(latitude=34.0, longitude=-118.0, winter_chill={"measure": "chill_portions", "mean": 45})
CROP, SOUND = {"crop": 1.0}, {"sound_fruit": 1.0}
RATINGS = tuple(f"susceptibility_{disease}" for disease in DISEASES)


def test_the_unknown_does_not_win_by_its_spread() -> None:
    """Of two needs of the same middle the better known ranks clearly higher, and one that is likely to crop a year more
    but may crop hardly at all ranks no higher than one that is known."""
    known, vague, promising = (
        apple("Known", chill_portions=(45, 2)),
        apple("Vague", chill_portions=(45, 15)),
        apple("Promising", chill_portions=(40, 15)),
    )
    of_known, of_vague, of_promising = ranks(SHORT_OF_CHILL, known, vague, promising, weights=CROP)
    assert of_vague < of_known - 0.08
    assert of_promising <= of_known
    years = {name: one.cropping_years_in_ten for name, one in judged(SHORT_OF_CHILL, known, promising).items()}
    assert years["Promising"] is not None
    assert years["Known"] is not None
    assert years["Promising"].likely > years["Known"].likely


@pytest.mark.parametrize("place", [SHORT_OF_CHILL, STANDARD_SITES["mild cape"]], ids=["told", "mild cape"])
def test_who_knows_no_need_of_chill_is_not_taken_for_low_chill(place: Site) -> None:
    """Where winters are short an apple whose need nobody knows ranks below one that is known to need a middling 45."""
    unknown, middling, low = ranks(
        place,
        apple("Unknown", without=("chill_portions",)),
        apple("Middling", chill_portions=(45, 3)),
        apple("Low", chill_portions=(20, 3)),
        weights=CROP,
    )
    assert unknown < middling < low


def test_a_cultivar_short_of_chill_fails_by_degrees() -> None:
    needs = (25, 40, 55, 70)
    apples = [apple(f"Needs {need}", chill_portions=(need, 3)) for need in needs]
    values = ranks(SHORT_OF_CHILL, *apples, weights=CROP)
    assert values == sorted(values, reverse=True)
    found = judged(SHORT_OF_CHILL, *apples)
    assert values[0] > 0.8
    assert values[1] - values[2] > 0.15
    assert found["Needs 70"].verdict == "not_here"
    assert found["Needs 70"].limiting == "winter_chill"
    assert found["Needs 25"].limiting != "winter_chill"


@pytest.mark.parametrize("place", [DAMP, RAINY], ids=["damp and mild", "cool and rainy"])
def test_scab_takes_most_of_the_sound_fruit_where_it_rains_and_little_where_it_is_dry(place: Site) -> None:
    """Unsprayed, a very susceptible apple keeps at most six tenths of what a resistant one does."""
    susceptible, resistant = apple("Susceptible", susceptibility_scab=0.9), apple("Resistant", susceptibility_scab=0.05)
    wet = ranks(place, susceptible, resistant, weights=SOUND)
    dry = ranks(DRY, susceptible, resistant, weights=SOUND)
    assert wet[0] < 0.6 * wet[1]
    assert dry[0] > 0.75 * dry[1]
    of_susceptible, of_resistant = ranks(place, susceptible, resistant)
    assert of_susceptible < of_resistant - 0.05


def test_the_grade_of_sound_fruit_tells_resistant_from_susceptible_where_it_rains() -> None:
    found = judged(RAINY, apple("Susceptible", susceptibility_scab=0.9), apple("Resistant", susceptibility_scab=0.05))
    grades = ("poor", "fair", "good")
    assert grades.index(found["Susceptible"].sound_fruit_unsprayed) < grades.index(
        found["Resistant"].sound_fruit_unsprayed
    )


def test_doubt_of_sound_fruit_lowers_the_rank() -> None:
    """Of two apples taken for equally susceptible, the one that nobody rated ranks below the one that was rated."""
    unrated, rated = apple("Unrated", without=RATINGS), apple("Rated", 0.55)
    for place in (DAMP, RAINY, DRY):
        of_unrated, of_rated = ranks(place, unrated, rated, weights=SOUND)
        assert of_unrated < of_rated - 0.005
        of_unrated, of_rated = ranks(place, unrated, rated)
        assert of_unrated < of_rated


def test_codling_moth_takes_much_of_the_late_fruit_of_a_warm_summer() -> None:
    """An apple that no disease touches still loses four tenths to two or three broods; one picked early does not."""
    late, early = ranks(
        DRY,
        apple("Late", 0.0, ripening_offset_days=20),
        apple("Early", 0.0, ripening_offset_days=-70),
        weights=SOUND,
    )
    assert late < 0.6
    assert early > late + 0.2


def test_wood_too_tender_for_the_winters_is_not_advised() -> None:
    found = judged(
        STANDARD_SITES["cold"], apple("Tender", hardiness_c=-20), apple("Hardy", hardiness_c=-38), weights=CROP
    )
    tender, hardy = found["Tender"], found["Hardy"]
    assert (tender.verdict, tender.limiting) == ("not_here", "winter_cold")
    assert hardy.verdict != "not_here"
    assert (hardy.rank_value or 0.0) > (tender.rank_value or 0.0) + 0.3


def test_an_early_bloom_costs_years_where_springs_are_frosty() -> None:
    """Two weeks earlier in bloom is a lower rank and fewer years free of frost, all else equal."""
    frosty = site(latitude=41.9, longitude=-88.3, last_spring_frost={"median": "05-10"})
    early, late = apple("Early", bloom_offset_days=-8), apple("Late", bloom_offset_days=8)
    of_early, of_late = ranks(frosty, early, late, weights=CROP)
    assert of_early < of_late - 0.1


def test_fruit_that_cannot_ripen_is_not_advised() -> None:
    found = judged(RAINY, apple("Latest", ripening_offset_days=60), apple("Early", ripening_offset_days=-60))
    assert (found["Latest"].verdict, found["Latest"].limiting) == ("not_here", "ripening_heat")
    assert found["Early"].verdict == "plant"


@pytest.mark.parametrize("place", [STANDARD_SITES["hot and humid"], DRY], ids=["hot and humid", "dry and warm"])
def test_fruit_that_ripens_in_heat_loses_its_quality_unless_it_stands_heat(place: Site) -> None:
    """Picked in a hot summer an ordinary apple is worth less than two thirds; one that stands it more."""
    ordinary, tolerant = (
        apple("Ordinary", ripening_offset_days=-40),
        apple("Tolerant", ripening_offset_days=-40, heat_tolerance=0.9),
    )
    of_ordinary, of_tolerant = ranks(place, ordinary, tolerant, weights={"quality": 1.0})
    assert of_ordinary < 0.65
    assert of_tolerant > of_ordinary + 0.15
    assert ranks(DAMP, ordinary, weights={"quality": 1.0})[0] > 0.85


def test_unsprayed_a_very_susceptible_cultivar_is_no_longer_advised_where_it_rains_and_is_where_it_is_dry() -> None:
    """The wish counts in the verdict and is named; a resistant one stays advised at the very same place."""
    apples = (
        apple("Susceptible", susceptibility_scab=0.9, ripening_offset_days=-30),
        apple("Resistant", susceptibility_scab=0.1, ripening_offset_days=-30),
    )
    sprayed, unsprayed = judged(DAMP, *apples), judged(DAMP, *apples, no_spray=True)
    assert sprayed["Susceptible"].verdict == sprayed["Resistant"].verdict == unsprayed["Resistant"].verdict == "plant"
    assert (unsprayed["Susceptible"].verdict, unsprayed["Susceptible"].limiting) == ("worth_trying", "sound_fruit")
    assert judged(DRY, *apples, no_spray=True)["Susceptible"].verdict == "plant"


def test_what_frost_takes_from_all_alike_is_the_site_s_and_not_the_cultivar_s() -> None:
    """Fewer years are promised in a frosty valley, and the late-blooming are still advised there; the early are not."""
    frosty = site(latitude=38.04, longitude=-84.5, elevation_m=300, last_spring_frost={"median": "04-20"})
    late, early = apple("Late", bloom_offset_days=7), apple("Early", bloom_offset_days=-12)
    found = judged(frosty, late, early)
    years = found["Late"].cropping_years_in_ten
    assert years is not None
    assert years.likely < 8
    assert found["Late"].verdict == "plant"
    assert found["Early"].verdict != "plant"
    assert found["Early"].limiting == "frost_at_bloom"


def test_where_no_winter_is_cold_enough_for_any_fewer_years_are_asked_of_one_to_try() -> None:
    """Three crops of ten years would refuse it elsewhere; here the winter leaves hardly more to what needs least."""
    short = site(latitude=27.5, longitude=-81.44, winter_chill={"measure": "chill_portions", "mean": 8})
    found = judged(short, apple("Least", chill_portions=(13, 3)))["Least"]
    assert found.cropping_years_in_ten is not None
    assert found.cropping_years_in_ten.likely < 4
    assert found.verdict == "worth_trying"
