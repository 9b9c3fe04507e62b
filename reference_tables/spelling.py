"""How spellings of one cultivar name are compared: accents, hyphens, apostrophes, case and trade marks forgiven."""

import re
import unicodedata

_LETTERS = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"})
_WRITTEN_OUT = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe"})
_MARKS = re.compile(r"\((?:r|tm|c|s)\)|[®™©℠*!†]", re.IGNORECASE)
_APOSTROPHES = re.compile(r"['’‘`´ʼ\"“”„]")
_NOT_ALPHANUMERIC = re.compile(r"[^a-z0-9]+")
_EPITHETS = re.compile(
    r"^(?:malus(?: x)? domestica |malus |apple tree |apple |crab ?apple |pommier |pomme |apfel |manzano |manzana |"
    r"macieira |maca |mela |melo )|"
    r"(?: crab ?apple| crab| apple tree| apple| apfel| apples)$"
)
_POSSESSIVE = re.compile(r"['’‘`´ʼ]s\b|(?<=s)['’‘`´ʼ]")
_VARIANTS = {
    "saint": "st|saint|sankt",
    "reinette": "reinette|renette|renet|reneta|renett|ranet|reinet|reneto",
    "calville": "calvill|kalvill|kalvil|calvil",
    "seedling": "samling|saemling|semis|sdlg",
}
_USUAL = {variant: usual for usual, variants in _VARIANTS.items() for variant in variants.split("|")}
_VARIANT = re.compile(rf"\b(?:{'|'.join(_VARIANTS.values())})\b")


def fold(name: str) -> str:
    """A name in lower-case ASCII words: accents, marks and apostrophes gone, other signs as single spaces."""
    if name.isascii() and name.replace(" ", "").isalnum():  # most names, and there is nothing to forgive in them
        return " ".join(name.lower().split())
    text = _APOSTROPHES.sub("", _MARKS.sub("", unicodedata.normalize("NFC", name))).lower()
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text.translate(_LETTERS)).encode("ascii", "ignore").decode()
    return _NOT_ALPHANUMERIC.sub(" ", text.replace("&", " and ")).strip()


def key(name: str) -> str:
    """The letters and digits by which two spellings of a name are the same."""
    return fold(name).replace(" ", "")


def keys(name: str) -> tuple[str, ...]:
    """`key` in both transliterations of the Germanic vowels (ä as a and as ae)."""
    if name.isascii():
        return (key(name),)
    written_out = key(unicodedata.normalize("NFC", name).lower().translate(_WRITTEN_OUT))
    plain = key(name)
    return (plain,) if written_out == plain else (plain, written_out)


def loose_keys(name: str) -> tuple[str, ...]:
    """`loose_key` in both transliterations of the Germanic vowels."""
    if name.isascii():
        return (loose_key(name),)
    written_out = unicodedata.normalize("NFC", name).lower().translate(_WRITTEN_OUT)
    return tuple(dict.fromkeys((loose_key(name), loose_key(written_out))))


def loose_key(name: str) -> str:
    """A key that also forgives the species' name, a possessive s and the trade's variants of Reinette and Calville."""
    text = fold(_without_possessive(name))
    bare = _EPITHETS.sub("", text) or text
    bare = _VARIANT.sub(lambda found: _USUAL[found[0]], bare)
    return bare.removeprefix("the ").replace(" ", "")


def slug(name: str) -> str:
    """A stable ASCII id made of a denomination: ``Cox's Orange Pippin`` is ``cox-s-orange-pippin``."""
    spaced = re.sub(r"['’‘`´ʼ]", " ", _MARKS.sub("", name))
    return fold(spaced).replace(" ", "-")


def _without_possessive(name: str) -> str:
    return _POSSESSIVE.sub("", name)
