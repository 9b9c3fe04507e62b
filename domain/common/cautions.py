"""What an answer must say for safety, and the words for it. Every answer quotes those that apply."""

import msgspec


class Caution(msgspec.Struct, frozen=True, kw_only=True):
    """A warning with a stable code."""

    code: str
    words: str


RESISTANT_NOT_IMMUNE = Caution(
    code="resistant_not_immune",
    words="Resistant is not immune, and each disease counts apart; ask your extension service what is about locally.",
)
TRIPLOID = Caution(
    code="poor_pollen",
    words="Its own pollen is poor: it needs another cultivar in bloom, and that one needs a source of its own.",
)
PLANT_HEALTH = Caution(
    code="plant_health",
    words="Before moving or grafting scions, mind plant-health rules, quarantine areas and breeders' rights; "
    "ask the plant-health service.",
)
LADDERS = Caution(
    code="ladders",
    words="Prune and pick from the ground where you can; on a ladder keep away from power lines, not alone.",
)
DIGGING = Caution(
    code="digging",
    words="Have buried lines located before you dig planting holes or pits, and keep trees off septic fields.",
)
WINDFALLS = Caution(
    code="windfalls",
    words="Clear windfalls daily: they draw wasps and larger animals. No raw juice of ground fruit for children, "
    "pregnant or frail people.",
)
OLD_ORCHARD = Caution(
    code="old_orchard_ground",
    words="Old orchard ground may hold lead and arsenic: have it tested before children play or vegetables grow there.",
)
FROST_NIGHTS = Caution(
    code="frost_nights",
    words="Cover small trees on frost nights if you like, but light no fire or fuel heater under a cover.",
)
ALLERGY = Caution(
    code="allergy", words="No cultivar can be called safe for people with an apple allergy; ask a doctor."
)
SPRAYS = Caution(
    code="sprays",
    words="This advice names no sprays. Where you consider one, the label, local rules and licensed advice decide.",
)
NO_REST_BREAKING = Caution(
    code="rest_breaking",
    words="Where winters are warm, growers strip leaves by hand to make buds break; chemicals for it are for licensed "
    "users and are not advised here.",
)
GRAFTING_KNIVES = Caution(
    code="grafting_knives", words="Grafting knives cut towards the hand: brace it, and disinfect tools between trees."
)
HEAVY_POTS = Caution(
    code="heavy_pots",
    words="A watered pot of 50 litres weighs 70 kg or more: ask what a balcony or roof may carry, and tie tall ones.",
)
WIRES = Caution(code="wires", words="Mark wires at eye height and the ends of posts, so that nobody runs into them.")
ASK_LOCALLY = Caution(
    code="ask_locally", words="Local codes may ask for more room than the published figure: ask before you plant."
)
BOUNDARY = Caution(
    code="boundary",
    words="Ask what the law says on trees near a boundary and talk to the neighbour: fruit and shade cross it.",
)
POWER_LINE = Caution(
    code="power_line",
    words="Ask the utility what may grow near its line; never prune or pick near a line; no ladders.",
)
SEPTIC_FIELD = Caution(
    code="septic_field",
    words="Roots run wider than the crown and lines may lie shallow: keep trees off a septic field.",
)
SHRINKABLE_CLAY = Caution(
    code="shrinkable_clay",
    words="On shrinkable clay trees near a house can move its foundations: ask a surveyor or insurer.",
)
