"""What can be done by hand against each disease and insect: hygiene, bagging, netting, bands, scouting. No sprays.

Each method stands with the text that says so; "common practice, no source" where none was read.
"""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["hygiene", "pruning", "scouting", "bagging", "netting", "bands", "siting"]

COMMON = "common practice, no source"
UC = "University of California Master Gardeners, Contra Costa County, codling moth help desk, 2017"
NEWSPAPER = "University of California Master Gardeners, Apple pests, in a newspaper, 11 March 2000"
MONTANA = "Montana State University, Western Agricultural Research Center, Apple bagging for codling moth control, 2021"
NDSU = "North Dakota State University, Cass County Extension, Insects, diseases and pests of fruit trees"
NIAB = "NIAB, Apple best practice guide"
WSU = "Washington State University, Hortsense, Nectria canker, 2018"
POLAND = "Journal of Plant Diseases and Protection, 2019, on ascospore maturation in Poland, introduction"
POMEWEST = "Pomewest, notes of the IPDM masterclass of S. Tancred"
MISSISSIPPI = "Mississippi State University Extension, Ask the master gardener, bitter rot"
EXTENSION = "Cooperative Extension, Apples, questions and answers, fire blight"
MICHIGAN = "Michigan State University, European apple sawfly"


@dataclass(frozen=True)
class HandMethod:
    """One thing to do by hand against a disease or an insect, and who says so."""

    against: str
    kind: Kind
    words: str
    source: str


HAND_METHODS = (
    HandMethod(
        "scab",
        "hygiene",
        "Rake up or mow the fallen leaves in autumn: next spring's spores come out of them.",
        POLAND,
    ),
    HandMethod(
        "scab",
        "pruning",
        "Keep the crown open and the trees apart, so that leaves dry within hours.",
        COMMON,
    ),
    HandMethod(
        "fire_blight",
        "pruning",
        "Cut out blighted shoots as they appear, well into sound wood, and disinfect the blade between cuts.",
        EXTENSION,
    ),
    HandMethod(
        "fire_blight",
        "hygiene",
        "Feed little nitrogen: soft, fast growth is infected first.",
        EXTENSION,
    ),
    HandMethod(
        "powdery_mildew",
        "pruning",
        "Prune off white, stunted shoot tips in winter and again as the buds open.",
        POMEWEST,
    ),
    HandMethod(
        "cedar_apple_rust",
        "siting",
        "Plant no red cedar within a mile of apples.",
        NDSU,
    ),
    HandMethod(
        "canker",
        "pruning",
        "Cut out and destroy cankers as you find them.",
        WSU,
    ),
    HandMethod(
        "bitter_rot",
        "hygiene",
        "Take off mummies and rotting fruit, and infected wood: the rot starts from there.",
        MISSISSIPPI,
    ),
    HandMethod(
        "black_rot",
        "hygiene",
        "Cut out dead and blighted wood and take off mummified fruit in winter.",
        COMMON,
    ),
    HandMethod("white_rot", "hygiene", "Cut out dead wood and take off mummified fruit in winter.", COMMON),
    HandMethod(
        "glomerella_leaf_spot",
        "hygiene",
        "Plant cultivars that it spares; take away spotted leaves and fruit.",
        COMMON,
    ),
    HandMethod(
        "sooty_blotch_flyspeck",
        "pruning",
        "Thin fruit to singles and open the crown so that it dries; the blemish is skin-deep and rubs off.",
        COMMON,
    ),
    HandMethod(
        "codling_moth",
        "scouting",
        "From six to eight weeks after bloom look every week or two for holes with brown crumbs; "
        "take infested fruit off the tree and the ground, and do not put it on the compost heap.",
        UC,
    ),
    HandMethod(
        "codling_moth",
        "bagging",
        "Thin to one fruit a cluster and bag the fruitlets when they are 1 to 2.5 cm across, before eggs hatch; "
        "in a trial bags cut infested fruit from 34 to 10 of 100.",
        f"{NEWSPAPER}; {MONTANA}",
    ),
    HandMethod(
        "codling_moth",
        "bands",
        "Tie corrugated cardboard round the trunk about a month after eggs begin to hatch, and destroy it with the "
        "larvae in it before the next moths fly, and in winter.",
        COMMON,
    ),
    HandMethod(
        "plum_curculio",
        "scouting",
        "From petal fall tap the limbs over a sheet on cool mornings and destroy the beetles; gather dropped fruitlets "
        "every other day.",
        COMMON,
    ),
    HandMethod("plum_curculio", "bagging", "Bag fruitlets as soon as the petals are down.", COMMON),
    HandMethod(
        "apple_maggot",
        "hygiene",
        "Pick up fallen apples as soon as they drop, before the maggots leave them for the soil.",
        NDSU,
    ),
    HandMethod(
        "apple_maggot",
        "scouting",
        "Hang sticky red balls of the size of an apple from late June to mid-August; bagged fruit is safe.",
        NDSU,
    ),
    HandMethod(
        "apple_sawfly",
        "hygiene",
        "Two to three weeks after petal fall pick off fruitlets with a ribbon scar or a wet, smelling hole.",
        f"{MICHIGAN}; picking them off: {COMMON}",
    ),
    HandMethod(
        "fruit_flies",
        "netting",
        "Net the tree or bag the fruit with fine mesh before it colours; no fruit is left hanging or lying.",
        COMMON,
    ),
)


def hand_methods(against: str) -> tuple[HandMethod, ...]:
    """The methods against one disease or insect, in the order of the list; none for an unknown name."""
    return tuple(method for method in HAND_METHODS if method.against == against)
