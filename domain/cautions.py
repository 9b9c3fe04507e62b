"""What an answer must say for safety, and the words for it. Every list quotes those that apply."""

from domain.suitability.answer import Caution


def _caution(code: str, words: str) -> Caution:
    return Caution(code=code, words=words)


RESISTANT_NOT_IMMUNE = _caution(
    "resistant_not_immune", "Resistant is not immune, and each disease counts apart; ask your extension service what is about locally."
)
TRIPLOID = _caution(
    "poor_pollen", "Its own pollen is poor: it needs another cultivar in bloom, and that one needs a third or a self-fertile habit."
)
PLANT_HEALTH = _caution(
    "plant_health",
    "Before moving or grafting scions, mind plant-health rules, quarantine areas and breeders' rights; ask the plant-health service.",
)
LADDERS = _caution(
    "ladders", "Prune and pick from the ground where you can; on a ladder keep away from power lines and do not work alone."
)
DIGGING = _caution(
    "digging", "Have buried lines located before you dig planting holes or pits, and keep trees off septic fields."
)
WINDFALLS = _caution(
    "windfalls",
    "Clear windfalls daily: they draw wasps and larger animals. Do not make raw juice of ground fruit for children, pregnant or frail people.",
)
OLD_ORCHARD = _caution(
    "old_orchard_ground", "Old orchard ground may hold lead and arsenic: have it tested, and keep children's play and vegetables off it until then."
)
FROST_NIGHTS = _caution(
    "frost_nights", "Cover small trees on frost nights if you like, but light no fire or fuel heater under a cover."
)
ALLERGY = _caution("allergy", "No cultivar can be called safe for people with an apple allergy; ask a doctor.")
SPRAYS = _caution(
    "sprays", "This advice names no sprays. Where you consider one, the label, local rules and licensed advice decide."
)
NO_REST_BREAKING = _caution(
    "rest_breaking",
    "Where winters are warm, growers strip leaves by hand to make buds break; chemicals for it are for licensed users only and are not advised here.",
)
