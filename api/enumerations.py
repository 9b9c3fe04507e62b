"""Closed sets of words as named components of the contract, so that a generated client has one type for each.

msgspec writes a set of words wherever a field holds one; here each set gets the name by which people call it, once.
"""

import re
from collections.abc import Iterator
from itertools import islice
from typing import Any

from api.sets_of_tables import SETS

Document = dict[str, Any]

NAMED_AT = {
    "TraitBasis": "AdoptedRange.basis",
    "AreaKind": "AreaInMetres.kind",
    "FigureOrigin": "AutumnFrost.basis",
    "LayoutLimitCode": "LayoutLimit.code",
    "LayoutReasonCode": "LayoutReason.code",
    "LimitCode": "Limit.limit",
    "LimitSentence": "Limit.code",
    "ListReasonCode": "ListReason.code",
    "PairReasonCode": "Reason.code",
    "RelaxationCode": "Relax.code",
    "PollenServiceCode": "Served.code",
    "SetBackCode": "SetBackTold.code",
    "TrainingCode": "Training.code",
    "UpkeepCode": "UpkeepNote.code",
    "CautionCode": "Caution.code",
    "CatalogueStatus": "CultivarAnswer.status",
    "CultivarKind": "CultivarAnswer.kind",
    "ResistanceClass": "DiseaseStanding.resistance",
    "DiseaseId": "DiseaseStanding.disease",
    "PressureClass": "DiseaseStanding.pressure",
    "LayoutArrangement": "DrawnLayoutAnswer.arrangement",
    "FactorCode": "Factor.factor",
    "FactorOutcome": "Factor.outcome",
    "FactorBasis": "Factor.basis",
    "InsectId": "FruitInsectHere.insect",
    "InsectPresence": "FruitInsectHere.basis",
    "SoilDrainage": "Ground.drainage",
    "LieOfTheSpot": "Ground.lie",
    "SoilTexture": "Ground.texture",
    "WindOfTheSpot": "Ground.wind",
    "SuitabilityVerdict": "IfWarmer.verdict",
    "JobCode": "Job.job",
    "TreesOfJob": "Job.for_trees",
    "JobBasis": "Job.basis",
    "LimbPlace": "Limb.place",
    "TrunkAim": "MultiCultivarTreeRequest.aim",
    "ObservedEvent": "ObservedDate.event",
    "ParameterRoom": "Parameter.room",
    "ParameterBasis": "Parameter.basis",
    "SunClass": "PlacedTree.sun",
    "StrippedStanding": "StrippedTree.standing",
    "HowChosen": "PlantedTree.chosen",
    "ComplaintCode": "ReviewedTree.complaints",
    "SignSeen": "ReviewedTree.signs",
    "ReviewVerdict": "PlantingListReviewAnswer.verdict",
    "TreeJudgement": "ReviewedTreeAnswer.judgement",
    "ChangeKind": "Change.change",
    "ChangeSentenceCode": "Change.code",
    "TreeState": "ReviewedTree.state",
    "PruningDone": "ReviewedTree.pruning",
    "FeedingDone": "ReviewedTree.feeding",
    "SeenEvent": "Seen.event",
    "UnknownNames": "SuitabilityRequest.unknown_names",
    "HowNamed": "NameMeant.how",
    "StandingTreeCode": "StandingSaid.code",
    "Neighbourhood": "PlantingListsRequest.neighbourhood",
    "PartLeftOut": "PlantingListsRequest.without",
    "PairVerdict": "PollinationPair.verdict",
    "CompatibilityClass": "PollinationPair.compatibility",
    "PollenState": "PollinationPair.pollen",
    "PartnerStands": "PollinationPartner.stands",
    "YearsAre": "SeasonCalendarsAnswer.years_are",
    "SetBackBasis": "SetBackTold.basis",
    "ClimateBasis": "SiteClimateAnswer.basis",
    "SiteEventCode": "SiteEvent.event",
    "Threat": "SiteEvent.against",
    "GroundOfTrees": "Space.stand",
    "SoilFertility": "Space.soil",
    "Grade": "Suitability.sound_fruit_unsprayed",
    "FormArrangement": "TreeFormAnswer.arrangement",
    "StageCode": "TreeEvent.event",
    "TreeSupport": "TreeFormAnswer.support",
    "LadderNeed": "TreeFormAnswer.ladder",
    "BearingHabit": "TreeFormAnswer.bearing_habits",
    "FruitUse": "Wanted.uses",
    "FruitFlavour": "Wanted.flavours",
    "FruitAroma": "Wanted.aromas",
    "FruitSkin": "Wanted.skins",
    "ToldNearBy": "Wanted.told_near_by",
    "FruitWish": "WishMet.wish",
    "WishMetOrNot": "WishMet.met",
    "ListCharacterCode": "ListCharacter.code",
    "ToMindCode": "ToMind.code",
    "ChillMeasure": "WinterChill.measure",
    "ZoneScheme": "WinterMinimum.scheme",
    "TrunkStep": "WorkStep.step",
}
"""Name of a set -> one field that holds it; wherever the same words stand, the name stands for them. /1: the second set
that the field holds."""


_OF_TABLES = {name: told.places[0].replace("*", "Sentence") for name, told in SETS.items() if name not in NAMED_AT}


def with_named_enumerations(components: Document) -> Document:
    """The components with every set of several words that has a name taken out under it.

    Raises KeyError for a name whose field is gone, ValueError where one set has two names.
    """
    names: dict[tuple[str, ...], str] = {}
    for name, place in (NAMED_AT | _OF_TABLES).items():
        component, field, nth = re.fullmatch(r"(\w+)\.(\w+)(?:/(\d))?", place).groups()  # type: ignore[union-attr]  # every place above is of this form
        words = next(islice(enumerations(components[component]["properties"][field]), int(nth or 0), None), None)
        if words is None:
            raise KeyError(place)
        if words in names and name in SETS:
            continue  # a type holds the same words
        if words in names:
            raise ValueError(f"{name} and {names[words]} are the same words")
        names[words] = name
    replaced: Document = {key: _replaced(part, names) for key, part in components.items()}
    made = {name: {"title": name, "type": "string", "enum": list(words)} for words, name in names.items()}
    return replaced | made


def with_names(part: Any, components: Document) -> Any:
    """Another part of the document (parameters) with the sets that are named among the components."""
    names = {tuple(one["enum"]): name for name, one in components.items() if "enum" in one}
    return _replaced(part, names)


def enumerations(part: Any) -> Iterator[tuple[str, ...]]:
    """Every set of several words inside a part of a document, null left out."""
    if isinstance(part, dict):
        if words := _words(part):
            yield words
        for value in part.values():
            yield from enumerations(value)
    elif isinstance(part, list):
        for value in part:
            yield from enumerations(value)


def _words(part: Document) -> tuple[str, ...]:
    values = part.get("enum", ())
    words = tuple(value for value in values if value is not None)
    return words if len(words) > 1 and all(isinstance(word, str) for word in words) else ()


def _replaced(part: Any, names: dict[tuple[str, ...], str]) -> Any:
    if isinstance(part, list):
        return [_replaced(value, names) for value in part]
    if not isinstance(part, dict):
        return part
    words = _words(part)
    if words in names:
        reference = {"$ref": f"#/components/schemas/{names[words]}"}
        rest = {key: value for key, value in part.items() if key not in {"enum", "type"}}
        if None in part["enum"]:
            return {"anyOf": [reference, {"type": "null"}]} | rest
        return reference | rest
    made = {key: _replaced(value, names) for key, value in part.items()}
    if words or (len(part.get("enum", ())) == 1 and isinstance(part["enum"][0], str)):
        made.setdefault("type", "string")
    return made
