"""The infection models by the names that diseases.csv uses, and the figures of each disease in the form of its model.

A disease of a known model is added by data alone. A new model is a function from the years of an orchard and its
figures to the year's count, with a struct of those figures, and one line here.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from domain.fruit.diseases import DISEASE_BY_ID, Disease
from domain.hazards.fire_blight import BlossomFigures, blossom_infection
from domain.hazards.fruit_diseases import (
    FruitRotFigures,
    LeafSpotFigures,
    SummerWetFigures,
    WetHourFigures,
    summer_wet_hours,
    summer_wet_hours_summed,
    warm_rain_on_fruit,
    warm_rain_on_leaves,
)
from domain.hazards.infection_weather import DiseaseFigures, Infection, Orchard
from domain.hazards.leaf_diseases import (
    RainyMonthFigures,
    ShootFigures,
    SpringWetFigures,
    mild_rainy_months,
    mildew_on_shoots,
    spring_wet_hours,
)
from domain.hazards.scab import ScabFigures, scab_infection
from domain.tables.loading import TableError
from domain.tables.parameters import figures


@dataclass(frozen=True)
class InfectionModel:
    """The form of a model's figures, and what it counts in the years of an orchard by them."""

    figures: type[DiseaseFigures]
    infection: Callable[[Orchard, Any], Infection]


MODELS: Mapping[str, InfectionModel] = {
    "scab_infection": InfectionModel(ScabFigures, scab_infection),
    "blossom_infection": InfectionModel(BlossomFigures, blossom_infection),
    "mildew_on_shoots": InfectionModel(ShootFigures, mildew_on_shoots),
    "spring_wet_hours": InfectionModel(SpringWetFigures, spring_wet_hours),
    "mild_rainy_months": InfectionModel(RainyMonthFigures, mild_rainy_months),
    "summer_wet_hours": InfectionModel(SummerWetFigures, summer_wet_hours),
    "warm_rain_on_fruit": InfectionModel(FruitRotFigures, warm_rain_on_fruit),
    "warm_rain_on_leaves": InfectionModel(LeafSpotFigures, warm_rain_on_leaves),
    "summer_wet_hours_summed": InfectionModel(WetHourFigures, summer_wet_hours_summed),
}


def model_of(disease: Disease) -> InfectionModel:
    """The model that a disease names. Raises TableError where none is registered under that name."""
    if disease.model not in MODELS:
        known = ", ".join(MODELS)
        raise TableError(f"diseases.csv, {disease.disease}: no infection model {disease.model!r}; known are {known}")
    return MODELS[disease.model]


DISEASE_FIGURES: Mapping[str, DiseaseFigures] = {
    disease.disease: figures("fruit", disease.disease, model_of(disease).figures) for disease in DISEASE_BY_ID.values()
}
"""The figures of each disease, in the order of the table."""


def infection(disease: Disease, orchard: Orchard) -> Infection:
    """What the model of a disease finds in the years of an orchard."""
    return model_of(disease).infection(orchard, DISEASE_FIGURES[disease.disease])
