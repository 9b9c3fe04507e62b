"""Tables of how published words are read: schemes and their classes, words, places, and what each stands for.

A class or word without a value is declared silent: it is known to occur and is not read, as its note says.
"""

from reference_tables.building.schemas.common import NOTE
from reference_tables.building.schemas.description import Column, Table
from reference_tables.building.schemas.parameters import BASES

_FOLDER = "fruits/apple/reading"
_WORD = r"[a-z][a-z0-9_]*"
_BASIS = Column("basis", "where the figure or the meaning comes from", "common-practice", required=True, enum=BASES)
_SOURCES = Column(
    "sources", "documents that say so, of sources.csv or parameters/sources.csv", "ext-sizes", separator=";"
)
_END = (_BASIS, _SOURCES, NOTE)
_TRAIT = Column("trait", "the trait as observed", "preharvest_drop", required=True, pattern=_WORD)
_ADOPTED = Column("adopted_trait", "the trait that is adopted", "vigour", required=True, pattern=_WORD)
_PUBLISHED = Column("published", "the word or class as printed, in lower case", "moderately resistant", required=True,
                    pattern=r"[^A-Z]+")  # fmt: skip
_GROUP = Column("group", "adaptation group, blank where the place is not read", "cold_continental", pattern=_WORD)
_OPENING = Column("opening", "how the text of a scheme begins, blank for every text that no other row opens", "R/S/HS")
_SPREAD = "standard deviation of a rating of this class"


def _scheme(subject: str) -> Column:
    table = f"{_FOLDER}/{subject}_schemes.scheme"
    return Column("scheme", "the scheme it is a class of", "three letters", required=True, refers_to=table)


def _table(name: str, title: str, columns: tuple[Column, ...], key: tuple[str, ...], folder: str = _FOLDER) -> Table:
    ordered = (("low_weeks", "high_weeks"),) if name == "storage_words" else ()
    return Table(f"{folder}/{name}", title, columns, key, ordered)


_SCHEME = Column("scheme", "name of the scheme", "three letters", required=True)

TABLES: tuple[Table, ...] = (
    _table(
        "susceptibility_schemes",
        "How schemes that rate diseases and pests are known by their texts, the first that fits counts",
        (_OPENING, _SCHEME, NOTE),
        ("opening",),
    ),
    _table(
        "susceptibility_classes",
        "Classes of schemes that rate diseases and pests, 0 immune to 1 very susceptible",
        (
            _scheme("susceptibility"),
            _PUBLISHED,
            Column("susceptibility", "0 immune to 1 very susceptible", "0.35", "number", minimum=0, maximum=1),
            Column("spread", _SPREAD, "0.12", "number", minimum=0.01, maximum=1),
            *_END,
        ),
        ("scheme", "published"),
    ),
    _table(
        "hardiness_schemes",
        "How schemes of winter hardiness are known by their texts, the first that fits counts",
        (
            _OPENING,
            _SCHEME,
            Column("kind", "kind of evidence, whose readings share an error", "winter", required=True,
                   enum=("zone", "winter", "frost", "words", "mild words")),
            NOTE,
        ),
        ("opening",),
    ),
    _table(
        "hardiness_classes",
        "Classes of schemes of winter hardiness as mean yearly minimum of the coldest country where a tree stands well",
        (
            _scheme("hardiness"),
            _PUBLISHED,
            Column("reads", "whether the class is a value or an upper limit; blank where it is silent", "at_most",
                   enum=("value", "at_most")),
            Column("hardiness_c", "mean yearly minimum", "-34", "number", "C", minimum=-60, maximum=0),
            Column("spread_c", _SPREAD, "3.5", "number", "C", minimum=0.1, maximum=20),
            *_END,
        ),
        ("scheme", "published"),
    ),
    _table(
        "shared_errors",
        "Errors that all readings of one kind of evidence share",
        (
            Column("trait", "the adopted trait", "chill_portions", required=True, pattern=_WORD),
            Column("kind", "kind of evidence", "forcing", required=True, pattern=r"[a-z ]+"),
            Column("deviation", "standard deviation that they share", "6", "number", required=True, minimum=0.1,
                   maximum=50),
            Column("unit", "unit of the deviation", "CP", required=True),
            *_END,
        ),
        ("trait", "kind"),
    ),
    _table(
        "numbered_traits",
        "Traits whose words become numbers: range, error of one text, and how texts are weighed",
        (
            _TRAIT,
            _ADOPTED,
            Column("read_by", "words of its own, or the schemes of susceptibility", "words", required=True,
                   enum=("words", "schemes")),
            Column("weighed", "how several texts become one value", "texts_first", required=True,
                   enum=("by_agreement", "texts_first", "evenly")),
            Column("unit", "unit of the adopted trait", "1..5", required=True),
            Column("least", "lower end of the scale", "1", "number", required=True),
            Column("most", "upper end of the scale", "5", "number", required=True),
            Column("spread", "standard deviation of one text, blank where its scheme says it", "0.7", "number",
                   minimum=0.01),
            Column("least_spread", "what is added to every adopted spread, in quadrature", "0.25", "number",
                   required=True, minimum=0),
            *_END,
        ),
        ("trait",),
    ),
    _table(
        "trait_words",
        "Words of single traits as numbers on the scale of the trait",
        (
            Column("trait", "the trait as observed", "vigour", required=True,
                   refers_to=f"{_FOLDER}/numbered_traits.trait"),
            _PUBLISHED,
            Column("value", "the number it stands for", "4.0", "number", minimum=0, maximum=20),
            *_END,
        ),
        ("trait", "published"),
    ),
    _table(
        "named_classes",
        "Words that become words: forms, habits, uses, flavours, skins, pollen, self-fertility, genes",
        (
            _ADOPTED,
            _TRAIT,
            _PUBLISHED,
            Column("match", "whether the whole text is the word or holds it; the first row that fits counts", "whole",
                   required=True, enum=("whole", "within")),
            Column("value", "the class adopted", "upright_spreading"),
            *_END,
        ),
        ("adopted_trait", "trait", "published"),
    ),
    _table(
        "storage_words",
        "Words of keeping as weeks in a cold store",
        (
            _PUBLISHED,
            Column("low_weeks", "it keeps at least", "14", "number", "weeks", minimum=0, maximum=60),
            Column("high_weeks", "it keeps at most", "24", "number", "weeks", minimum=0, maximum=60),
            *_END,
        ),
        ("published",),
    ),
    _table(
        "marks",
        "Phrases by which an observation shows how its value was found",
        (
            Column("mark", "what the phrase shows", "canadian_zone", required=True, pattern=_WORD),
            Column("column", "the column of the observation that has it", "note", required=True,
                   enum=("scheme", "note", "published", "source_id", "any")),
            Column("match", "whether the text begins with it or holds it", "within", required=True,
                   enum=("opens", "within")),
            Column("phrase", "the phrase, in lower case", "canadian", required=True, pattern=r"[^A-Z]+"),
            NOTE,
        ),
        ("mark", "column", "phrase"),
    ),
    _table(
        "chill_regimes",
        "Winters of regions: their chill, and what an hour or a unit counted there is worth",
        (
            Column("regime", "name of the region", "texas gulf", required=True),
            Column("portions", "chill of the whole dormant season", "35", "number", "CP", required=True, minimum=0,
                   maximum=200),
            Column("deviation", "standard deviation of what cropping or failing there says", "8", "number", "CP",
                   required=True, minimum=1, maximum=50),
            Column("hours_per_portion", "hours below 7.2 C that make one portion", "13.5", "number", "h",
                   required=True, minimum=3, maximum=60),
            Column("units_per_portion", "Utah units that make one portion", "19", "number", required=True, minimum=5,
                   maximum=40),
            Column("evergreen", "whether a tree need not fall dormant there, so that cropping says nothing", "no",
                   required=True, enum=("yes", "no")),
            *_END,
        ),
        ("regime",),
    ),
    _table(
        "hardiness_places",
        "Words of a cold place and its mean yearly minimum, the first that a text contains counts",
        (
            Column("place", "words of the place, in lower case", "saskatoon", required=True, pattern=r"[^A-Z]+"),
            Column("mean_annual_minimum_c", "mean of the coldest nights of its years", "-36.8", "number", "C",
                   required=True, minimum=-60, maximum=0),
            *_END,
        ),
        ("place",),
    ),
    _table(
        "chill_places",
        "Words of a place and the regime of its winters, the first that a text contains counts",
        (
            Column("place", "words of the place, in lower case", "highlands county", required=True),
            Column("regime", "the regime of its winters", "central florida", required=True,
                   refers_to=f"{_FOLDER}/chill_regimes.regime"),
            *_END,
        ),
        ("place",),
    ),
    _table(
        "chill_classes",
        "Words of chill requirement as portions",
        (
            _PUBLISHED,
            Column("portions", "the requirement", "38", "number", "CP", minimum=0, maximum=150),
            Column("spread", "standard deviation of what the word says", "9", "number", "CP", minimum=1, maximum=50),
            *_END,
        ),
        ("published",),
    ),
    _table(
        "places_of_origin",
        "Places of origin and the adaptation group of cultivars from there, the first that a text names counts",
        (
            Column("place", "words of the place, in lower case", "nova scotia", required=True, pattern=r"[^A-Z]+"),
            Column("match", "whether the whole text is the place or names it", "words", required=True,
                   enum=("whole", "words")),
            _GROUP,
            *_END,
        ),
        ("place",),
    ),
    _table(
        "crab_apple_groups",
        "Crab apples of another adaptation group than crab apples at large",
        (
            Column("cultivar_id", "the crab apple", "dolgo", required=True, refers_to="catalogue.cultivar_id"),
            Column("group", "adaptation group", "siberian_crab", required=True, pattern=_WORD),
            *_END,
        ),
        ("cultivar_id",),
    ),
    _table(
        "season_words",
        "Words of season from first to last, for schemes that do not print their own order",
        (
            _PUBLISHED,
            Column("position", "place in the order", "3", "integer", minimum=1),
            *_END,
        ),
        ("published",),
    ),
    _table(
        "picking_events",
        "Dated events of picking and how far they lie from its middle",
        (
            _TRAIT,
            Column("days_to_mid_picking", "days from the event to mid-picking", "5", "number", "d", required=True,
                   minimum=-60, maximum=60),
            *_END,
        ),
        ("trait",),
    ),
    _table(
        "superseded_lists",
        "Lists that weigh little where another list has the cultivar",
        (
            Column("list_id", "the list", "ca-ns-kentville-2016", required=True),
            Column("superseded_by", "the list that replaces it", "ca-ns-kentville-2017", required=True),
            Column("share", "weight that it keeps", "0.3", "number", required=True, minimum=0, maximum=1),
            *_END,
        ),
        ("list_id",),
    ),
    _table(
        "ploidy_classes",
        "Ploidies: how common each is, and the pollen that goes with it",
        (
            _PUBLISHED,
            Column("read_as", "the ploidy that a word means", "3"),
            Column("share", "share of apples at large", "0.84", "number", minimum=0, maximum=1),
            Column("pollen", "pollen where nobody tested it", "viable", enum=("viable", "poor")),
            Column("pollen_share", "share of cultivars of which that is true", "0.97", "number", minimum=0, maximum=1),
            *_END,
        ),
        ("published",),
    ),
    _table(
        "imputed_numbers",
        "Numbers that one class of a cultivar foretells where no text speaks; the first row that fits counts",
        (
            Column("from_trait", "the trait that foretells", "ploidy", required=True, pattern=_WORD),
            Column("from_value", "its class", "3", required=True),
            Column("trait", "the trait foretold", "vigour", required=True, pattern=_WORD),
            Column("value", "the number imputed", "4.0", "number", required=True),
            Column("spread", "its standard deviation", "0.8", "number", required=True, minimum=0.01),
            Column("unit", "unit of the number", "1..5", required=True),
            *_END,
        ),
        ("from_trait", "from_value", "trait"),
    ),
    _table(
        "spread_factors",
        "What the errors of one kind of source are multiplied by, so that the range of an adopted number is honest",
        (
            Column("trait", "the adopted trait", "vigour", required=True, pattern=_WORD),
            Column("kind", "kind of source of sources.csv, weak voices as one", "extension", required=True,
                   pattern=_WORD),
            Column("factor", "on the standard deviation of a reading", "0.8", "number", required=True, minimum=0.1,
                   maximum=5),
            Column("values", "values that could be left out when it was fitted", "104", "integer", required=True,
                   minimum=1),
            *_END,
        ),
        ("trait", "kind"),
    ),
    _table(
        "silent_traits",
        "Traits that documents speak of and that no adopted value is read from",
        (
            _TRAIT,
            *_END,
        ),
        ("trait",),
    ),
    _table(
        "inherited_traits",
        "Traits that a sport takes from the cultivar it arose on",
        (
            Column("trait", "the adopted trait", "s_genotype", required=True, pattern=_WORD),
            Column("lost_with_ploidy", "whether a sport of another ploidy lacks it", "yes", required=True,
                   enum=("yes", "no")),
            Column("lost_with_form", "whether a spur or columnar sport lacks it", "no", required=True,
                   enum=("yes", "no")),
            Column("lost_if_earlier", "whether a sport that is picked weeks before its parent lacks it", "no",
                   required=True, enum=("yes", "no")),
            Column("pooled", "whether a value of the sport that rests on few texts is pooled with the parent's", "yes",
                   required=True, enum=("yes", "no")),
            *_END,
        ),
        ("trait",),
    ),
    _table(
        "rootstock_classes",
        "Classes of rootstock traits by the mean score of their words, best first",
        (
            Column("trait", "the trait", "anchorage", required=True, pattern=_WORD),
            Column("class", "the class adopted", "good", required=True, pattern=_WORD),
            Column("least_score", "least mean score of the class, blank for the last", "0.66", "number", minimum=0,
                   maximum=1),
            *_END,
        ),
        ("trait", "class"),
        "space",
    ),
    _table(
        "rootstock_size_classes",
        "Size classes of rootstocks as shares of a tree on seedling",
        (
            Column("class", "the class as printed", "semi-dwarf", required=True),
            Column("size_share", "size as a share of a tree on seedling", "0.65", "number", required=True,
                   minimum=0.05, maximum=1.5),
            Column("log_spread", "standard deviation of its logarithm", "0.2", "number", required=True, minimum=0.01,
                   maximum=2),
            *_END,
        ),
        ("class",),
        "space",
    ),
    _table(
        "form_values_set_aside",
        "Published values of tree forms that are not of the trait as meant here",
        (
            Column("form_id", "the trained form", "espalier", required=True, refers_to="space/tree_forms.form_id"),
            Column("trait", "the trait", "spacing_in_row", required=True, pattern=_WORD),
            Column("source_id", "the document that says so", "nc-horne-creek", required=True,
                   refers_to="sources.source_id"),
            NOTE,
        ),
        ("form_id", "trait", "source_id"),
        "space",
    ),
)  # fmt: skip
