"""Tables of what is one fruit's: its kinds, traits, stages, diseases and insects, and the figures each goes by."""

from reference_tables.building.schemas.common import NOTE
from reference_tables.building.schemas.description import Column, Table
from reference_tables.building.schemas.parameters import BASES, FIGURE_COLUMNS

FRUIT = "fruits/apple"

_NAME = r"[a-z][a-z0-9_]*"
_YES_NO = ("true", "false")
_BASIS = Column("basis", "where the figures of the row come from", "published", required=True, enum=BASES)
_SOURCES = Column(
    "sources", "documents that say so, of sources.csv or parameters/sources.csv", "watts-abc-2021", separator=";"
)
_GROUNDS = (_BASIS, _SOURCES, NOTE)


def _key(name: str, meaning: str, example: str, pattern: str = _NAME) -> Column:
    return Column(name, meaning, example, required=True, pattern=pattern)


def _cause(meaning: str, example: str) -> Column:
    told = f"{meaning}; disease:<disease> and insect:<insect> besides"
    return _key("cause", told, example, pattern=r"[a-z_]+(:[a-z_]+)?")


def _flag(name: str, meaning: str) -> Column:
    return Column(name, meaning, "true", required=True, enum=_YES_NO)


def _number(name: str, meaning: str, example: str, unit: str = "", *, required: bool = True) -> Column:
    return Column(name, meaning, example, "number", unit, required=required)


_WORDS = Column("words", "what is said of it", "Green tip: rain now brings scab spores.", required=True)
_AGAINST = _key("against", "the disease or insect", "scab")
_WHERE = (
    _number("elsewhere", "how far it is there outside the boxes of regions, 0 to 1", "1"),
    _number("place_unknown", "the same where the place is not known", "1"),
)

KINDS = Table(
    f"{FRUIT}/kinds",
    "Kinds of plants in the catalogue",
    (
        _key("kind", "the kind", "crab_apple"),
        Column("name", "its name in words", "crab apple", required=True),
        Column("spoken", "what people call one whose cultivar they do not know", "crab apple;crabapple", required=True,
               separator=";"),
        _flag("planted_for_fruit", "whether it is ranked and listed; others are judged where they are named"),
        _flag("pollen_donor", "whether it is offered as pollen source beside what is planted for fruit"),
        Column("pollen_unrecorded", "what is taken of its pollen where ploidy is not recorded", "viable",
               required=True, enum=("viable", "poor", "unknown")),
        _number("pollen_chance_unrecorded", "chance that such pollen is viable; blank: by the share of diploids",
                "0.93", required=False),
        *_GROUNDS,
    ),
    ("kind",),
)  # fmt: skip
DISEASES = Table(
    f"{FRUIT}/diseases",
    "Diseases that cultivars are rated for, with the infection model each uses; figures stand in `figures`",
    (
        _key("disease", "the disease", "scab"),
        Column("name", "its name in words", "scab", required=True),
        _key("model", "the infection model, by the name it is registered under", "scab_infection"),
        Column("measure", "what of the weather is counted each year", "days whose rain infects", required=True),
        *_WHERE,
        Column("wanting", "what is wanting where the weather alone would let it press", "the winters are too cold"),
        _flag("wants_air", "whether trees stand further apart where it presses, so that leaves dry"),
        _flag("runs_in_wood", "whether it runs from one limb into the whole tree"),
        _flag(
            "on_fruit_alone",
            "whether it is looked for on the fruit alone, so that nothing is told of it once that is picked",
        ),
        _flag("makes_mummies", "whether it overwinters in dried-up fruit, which is then taken off the tree"),
        *_GROUNDS,
    ),
    ("disease",),
)
INSECTS = Table(
    f"{FRUIT}/insects",
    "Insects of the fruit, with the model of how hard each presses",
    (
        _key("insect", "the insect", "codling_moth"),
        Column("name", "its name in words", "codling moth", required=True),
        Column("model", "how its pressure is found: by its broods, by its regions, by mild winters in them", "broods",
               required=True, enum=("broods", "range", "mild_winters")),
        *_WHERE,
        Column("presence", "what its presence at a site rests on, as answers say it", "published range", required=True,
               enum=("computed", "published range", "from-memory")),
        *_GROUNDS,
    ),
    ("insect",),
)  # fmt: skip
_BOUND = {"south": -90, "north": 90, "west": -180, "east": 180}
REGIONS = Table(
    f"{FRUIT}/regions",
    "Where hosts, germs and insects live: boxes on the map; of several of one subject the first that holds a place",
    (
        _key("subject", "the disease or insect, or where a job of the year is done", "fire_blight"),
        *(
            Column(side, f"{side} bound", str(bound), "number", "degrees", required=True, minimum=-abs(bound),
                   maximum=abs(bound))
            for side, bound in _BOUND.items()
        ),
        Column("share", "how far a disease is there, or the share of unprotected fruit an insect takes (0 or 1 where "
               "that is computed)", "0.1", "number", required=True, minimum=0, maximum=1),
        *_GROUNDS,
    ),
    ("subject", "south", "west"),
)  # fmt: skip
TABLES: tuple[Table, ...] = (
    KINDS,
    Table(
        f"{FRUIT}/traits",
        "The register of traits: what each adopted number or word of a cultivar means",
        (
            _key("trait", "the trait; susceptibility_<disease> besides, one for each disease", "chill_portions"),
            Column("form", "a number, one class, several classes, or text", "number", required=True,
                   enum=("number", "class", "classes", "text")),
            Column("unit", "unit of a number", "CP"),
            Column("meaning", "what it says", "winter chill needed for half a crop", required=True),
            Column("values", "the classes it may have", "spur;tip", separator=";"),
            _flag("gathered", "whether computations read it as an array over cultivars"),
            _number("stand_in", "value taken where none was adopted", "45", required=False),
            _number("spread", "standard deviation of that value", "12", required=False),
            Column("basis", "where the stand-in comes from", "common-practice", enum=BASES),
            _SOURCES,
            NOTE,
        ),
        ("trait",),
    ),
    DISEASES,
    INSECTS,
    REGIONS,
    Table(f"{FRUIT}/figures", "Figures of the fruit, of its diseases and of its insects", FIGURE_COLUMNS,
          ("subject", "name")),
    Table(
        f"{FRUIT}/flower_stages",
        "Stages of the flower bud; the temperatures that kill it stand in rules/critical_bud_temperatures",
        (
            Column("stage", "the stage, as critical temperatures are published", "green tip", required=True),
            Column("bbch", "code of the stage (BBCH)", "53", "integer", required=True),
            _number("heat_share", "share of the heat from release to full bloom already had", "0.32"),
            *_GROUNDS,
        ),
        ("stage",),
    ),
    Table(
        f"{FRUIT}/health_events",
        "The year's events of orchard health",
        (
            _key("event", "the event", "scab_season_starts"),
            _AGAINST,
            _key("clock", "the day it is counted from, by the name it is registered under", "green_tip"),
            _number("days_after", "days after that day", "14", "days"),
            _WORDS,
            *_GROUNDS,
        ),
        ("event",),
    ),
    Table(
        f"{FRUIT}/hand_methods",
        "What can be done by hand against a disease or an insect; no sprays",
        (
            _AGAINST,
            Column("kind", "what kind of work", "hygiene", required=True,
                   enum=("hygiene", "pruning", "scouting", "bagging", "netting", "bands", "siting")),
            _WORDS,
            *_GROUNDS,
        ),
        ("against", "kind"),
    ),
    Table(
        f"{FRUIT}/complaint_causes",
        "What may lie behind a complaint of a grower: the odds of its causes before anything is told of the tree",
        (
            _key("complaint", "what is complained of", "no_bloom"),
            _cause("what may be behind it", "too_young"),
            _number("weight", "its odds beside those of the other causes of the complaint", "5"),
            *_GROUNDS,
        ),
        ("complaint", "cause"),
    ),
    Table(
        f"{FRUIT}/signs",
        "Signs that a grower may see of a tree and its year, and the causes of complaints they speak for",
        (
            _key("sign", "what is seen", "orange_spots"),
            _cause("what it speaks for", "disease:scab"),
            Column("part", "what of the tree it is seen on; tree: the whole of it, or its year", "leaf", required=True,
                   enum=("leaf", "fruit", "wood", "flower", "tree")),
            Column("speaks", "mark: others hardly leave it; hint: it speaks for the cause, against no other", "mark",
                   required=True, enum=("mark", "hint")),
            *_GROUNDS,
        ),
        ("sign", "cause"),
    ),
    Table(
        f"{FRUIT}/jobs",
        "Work by hand through the year, counted from stages of the trees; picking stands apart",
        (
            _key("job", "the job", "thin_fruit"),
            Column("when", "where it falls due: any, a kind of climate, insect, rots, insect:<insect> or "
                   "disease:<disease> that presses, region:<subject of regions>", "cold_winter", required=True,
                   pattern=r"[a-z_]+(:[a-z_]+)?"),
            Column("for_trees", "trees of which age: new ones in their first year, young ones not yet in full crop, "
                   "bearing ones, or any", "bearing", required=True, enum=("new", "young", "bearing", "any")),
            Column("for_forms", "arrangements of the tree forms that it is for; blank: all", "fence;pot",
                   separator=";"),
            Column("clock", "the stage it is counted from", "full_bloom", required=True),
            _number("from_days", "days from the stage from which it falls due", "20", "days"),
            _number("to_days", "days to which it falls due; blank: until the stage it ends before, or petal fall",
                    "42", "days", required=False),
            Column("starts_after", "a stage before which it never starts", "leaf_fall"),
            Column("ends_before", "a stage that the job must not touch", "first_bloom"),
            Column("cautions", "cautions that go with it", "ladders", separator=";"),
            *_GROUNDS,
        ),
        ("job", "when", "clock"),
    ),
    Table(
        f"{FRUIT}/leaf_stripping",
        "Cultivars in highlands without winter, where leaves are stripped by hand",
        (
            _key("cultivar_id", "the cultivar", "rome-beauty", pattern=r"[a-z0-9][a-z0-9-]*"),
            Column("standing", "grown by stripping alone, planted there by means not said, or failing by it alone",
                   "grown", required=True, enum=("grown", "planted", "fails_alone")),
            Column("place", "where", "Batu, East Java", required=True),
            *_GROUNDS,
        ),
        ("cultivar_id",),
    ),
    Table(
        f"{FRUIT}/origin_names",
        "Names in places of origin: countries, their parts, other names of them, and what is no place",
        (
            _key("name", "the name as a text prints it", "Somerset", pattern=r"[^\s,;()][^,;()]*"),
            Column("is", "a country, one that is several now, a continent, a part of a country, another name, or no "
                   "place (who raised it, where it is listed)", "part", required=True,
                   enum=("country", "several_countries", "continent", "part", "another_name", "no_place")),
            Column("of", "what it lies in, was a part of, or is another name of; blank for none", "England"),
            *_GROUNDS,
        ),
        ("name",),
    ),
    Table(
        f"{FRUIT}/resistance_classes",
        "Classes of susceptibility, mildest first",
        (
            _key("class", "the class", "resistant"),
            _number("below", "susceptibility below which a cultivar is of it, of 0 (immune) to 1", "0.25"),
            _flag("tolerant", "whether it counts as tolerating the disease"),
            *_GROUNDS,
        ),
        ("class",),
    ),
    Table(
        f"{FRUIT}/bearing_habits",
        "Where cultivars bear, and how such a tree takes cutting; the forms that suit stand in space/tree_forms",
        (
            _key("habit", "the habit", "spur"),
            Column("name", "its name in words", "on spurs", required=True),
            _flag("on_tips", "whether cutting all shoots back takes crop"),
            _flag("stands_hard_cuts", "whether it still crops where it is held far below its own size"),
            *_GROUNDS,
        ),
        ("habit",),
    ),
    Table(
        f"{FRUIT}/adaptation_groups",
        "Groups of cultivars by the climates they were bred or kept in",
        (
            _key("group", "the group", "maritime"),
            _number("chill_portions", "prior mean of the chill requirement", "51", "CP"),
            _number("chill_portions_spread", "its standard deviation", "9", "CP"),
            _number("hardiness_c", "prior mean of the hardiness", "-28.5", "C"),
            _number("hardiness_c_spread", "its standard deviation", "3.5", "C"),
            _number("heat_tolerance", "stand-in for heat tolerance, 1 is best", "0.35", required=False),
            *_GROUNDS,
        ),
        ("group",),
    ),
)  # fmt: skip
