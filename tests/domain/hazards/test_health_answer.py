from domain.fruit.diseases import DISEASES
from domain.hazards.codling_moth import codling_moth
from domain.hazards.disease_weather import disease_weather
from domain.hazards.hand_methods import hand_methods
from domain.hazards.health_answer import orchard_health
from domain.hazards.infection_weather import Orchard
from domain.hazards.insects import fruit_insects
from domain.hazards.site_health import SiteHealth
from domain.tables.words import say
from tests.domain.hazards.orchards import orchard, with_present
from tests.domain.made_up_weather import wave

WARM_WET = orchard(11.5, 10.0, 0.4)


def site(place: Orchard, latitude: float = 42.0, longitude: float = -74.0) -> SiteHealth:
    moth = codling_moth(wave(11.5, 10.0))
    return SiteHealth(place, disease_weather(place), moth, fruit_insects(moth, 0.0, latitude, longitude))


def test_every_disease_is_told_and_methods_only_where_it_presses() -> None:
    told = orchard_health(site(WARM_WET), south=False)
    assert tuple(row.disease for row in told.disease_weather) == DISEASES
    for row in told.disease_weather:
        assert row.hand_methods == (
            () if row.pressure == "low" else tuple(say(m.code) for m in hand_methods(row.disease))
        )
        assert (
            row.a_year.tenth_percentile <= row.a_year.mean <= row.a_year.ninetieth_percentile or row.a_year.mean < 1.0
        )
        assert f"{row.pressure} pressure" in row.words
        assert row.words[0].isupper()


def test_it_says_what_is_wanting_where_the_weather_would_allow_a_disease() -> None:
    alone = with_present(WARM_WET, "cedar_apple_rust", 0.05)
    (rust,) = (
        row for row in orchard_health(site(alone), south=False).disease_weather if row.disease == "cedar_apple_rust"
    )
    assert rust.pressure == "low"
    assert "red cedars" in rust.words


def test_broods_follow_each_other_with_their_dates() -> None:
    moth = orchard_health(site(WARM_WET), south=False).codling_moth
    assert moth is not None
    assert [brood.brood for brood in moth.broods] == list(range(1, len(moth.broods) + 1))
    assert all(brood.first_moths and brood.first_strikes for brood in moth.broods)
    assert moth.broods[0].size == 1.0


def test_no_codling_moth_where_it_does_not_live() -> None:
    told = orchard_health(site(WARM_WET, 31.1, 77.2), south=False)
    assert told.codling_moth is None
    assert [insect.insect for insect in orchard_health(site(WARM_WET), south=False).other_insects] == [
        "plum_curculio",
        "apple_maggot",
        "apple_sawfly",
    ]
