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
