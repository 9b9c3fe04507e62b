"""The table of words and the code that says them: every code said has its text, and every text is said."""

import ast
import csv
import re
import string
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest

import domain
from domain.common.cautions import CautionCode
from domain.ground.set_backs import Kind
from domain.hazards.hand_methods import HAND_METHODS
from domain.hazards.health_events import EVENTS
from domain.tables.words import LANGUAGES, Language, Text, assume, label, say, texts, words_of

SOURCE = Path(domain.__file__).parents[1]
MODULES = sorted([*(SOURCE / "domain").rglob("*.py"), *(SOURCE / "api").rglob("*.py")])
SAYING = {"say", "assume", "asked"}


def calls() -> Iterator[tuple[str, str, list[ast.expr]]]:
    """Each call that says a code: where it stands, what is called, and its arguments."""
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                if name in SAYING and node.args:
                    yield f"{path.name}:{node.lineno}", name, node.args


def labelled() -> set[str]:
    """Families of which the code asks for a label by name."""
    asked = set()
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "label":
                asked |= {one.value for one in node.args[:1] if isinstance(one, ast.Constant)}
            elif isinstance(node, ast.JoinedStr) and isinstance(node.values[0], ast.Constant):
                family, dot, _ = str(node.values[0].value).partition(".")
                asked |= {family} if dot else set()
    return {str(one) for one in asked}


def patterns() -> list[re.Pattern[str]]:
    """What the strings of the modules may be codes of: words with letters and underscores, parts open in f-strings."""
    found = set()
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.JoinedStr):
                parts = [str(p.value) if isinstance(p, ast.Constant) else None for p in node.values]
                if any(part and re.fullmatch(r"[a-z0-9_.]{2,}", part) for part in parts):
                    found.add("".join("[a-z0-9_]+" if part is None else re.escape(part) for part in parts))
            elif isinstance(node, ast.Constant) and re.fullmatch(r"[a-z0-9_.]+", str(node.value)):
                found.add(re.escape(str(node.value)))
    return [re.compile(one) for one in found]


def test_every_code_that_is_said_has_its_text() -> None:
    said = [
        (where, name, [a.value if isinstance(a, ast.Constant) else None for a in args]) for where, name, args in calls()
    ]
    assert len(said) > 50
    for where, name, arguments in said:
        code = arguments[1] if name == "assume" else arguments[0]
        if isinstance(code, str):
            assert code in texts(), (where, code)
            assert name != "assume" or len(arguments) == 3 or f"{code}.assumed" in texts(), (where, code)


def test_every_label_of_the_pictures_is_drawn() -> None:
    """And each kind of thing on a plot has one."""
    drawn = set(get_args(Kind))
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        drawn |= {
            node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
    labels = {code.partition(".")[2] for code in texts() if code.startswith("picture.")}
    assert set(get_args(Kind)) <= labels <= drawn


def test_every_text_is_said() -> None:
    made = patterns()
    by_data = {row.event for row in EVENTS} | {method.code for method in HAND_METHODS}
    families = {kind.lower() for text in texts().values() for kind in text.slots.values()} | {"measure"} | labelled()
    for code in texts():
        family, _, last = code.partition(".")
        said = code in by_data or (last not in {"", "assumed"} and family in families)
        assert said or any(one.fullmatch(family if last == "assumed" else code) for one in made), code


class Plain(string.Formatter):
    """Texts filled slot by slot, by the rules that the module states: what `say` must equal, however it does it."""

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, tuple):
            named = [label(format_spec, one) if format_spec else one for one in value]
            return ", ".join(named[:-1]) + " and " + named[-1] if len(named) > 1 else "".join(named)
        match format_spec:
            case "" | "whole":
                return str(value)
            case "of_ten":
                return f"{value} of 10"
            case "date":
                month, day = (int(part) for part in value.split("-"))
                return f"{day} {label('month', str(month))}"
            case "one_place":
                return str(float(value))
            case "percent":
                return f"{round(100 * value)} %"
            case "four_digits":
                return f"{value:.4g}"
            case family:
                words = label(family.lower(), value)
                return words if family.islower() else words[0].upper() + words[1:]


@pytest.mark.parametrize("code", ["chill_enough", "frost_takes_later_helps", "fruit_spoilt_by_disease", "cold_harms"])
def test_texts_read_once_say_what_the_plain_way_says(code: str) -> None:
    random = np.random.default_rng(3)
    diseases = [one.partition(".")[2] for one in texts() if one.startswith("disease.")]
    for _ in range(200):
        values: dict[str, Any] = {
            name: {
                "date": f"{random.integers(1, 13):02d}-{random.integers(1, 29):02d}",
                "disease": tuple(diseases[:2]),
            }.get(kind, "early" if kind in {"harm", "winter_part"} else float(np.float32(random.normal(5.0, 3.0))))
            for name, kind in texts()[code].slots.items()
        }
        said = say(code, **values)
        for name, kind in texts()[code].slots.items():
            if kind == "one_place":
                assert said.values[name] == round(values[name], 1)
            if kind == "percent":
                assert said.values[name] == round(values[name], 2)
        assert said.words == Plain().vformat(texts()[code].text, (), said.values)


@pytest.mark.parametrize("value", [0.05, 0.15, 0.25, 2.5, -0.05, 1.005, 0.125, 2.675, 1e12 + 0.05, 0.0, -3.35])
def test_halves_are_rounded_by_the_exact_rule(value: float) -> None:
    one = next(text for text in texts().values() if "one_place" in text.slots.values())
    name = next(slot for slot, kind in one.slots.items() if kind == "one_place")
    others = {slot: VALUES.get(kind, "scab") for slot, kind in one.slots.items() if slot != name}
    assert say(one.code, **{name: value, **others}).values[name] == round(value, 1)  # type: ignore[arg-type]  # slots as the table names them


VALUES = {"date": "04-22", "whole": 3.4, "of_ten": 7.6, "one_place": 1.23, "percent": 0.456, "four_digits": 12345.6}


def some_values(text: Text) -> dict[str, object]:
    """A value for every slot of a text."""

    def value(kind: str) -> object:
        family = [code.partition(".")[2] for code in texts() if code.startswith(f"{kind.lower()}.")]
        return VALUES.get(kind, family[0] if family and kind else "Gala")

    return {name: value(kind) for name, kind in text.slots.items()}


@pytest.mark.parametrize("text", texts().values(), ids=texts())
def test_every_text_can_be_said(text: Text) -> None:
    said = say(text.code, **some_values(text))  # type: ignore[arg-type]  # slots as the table names them
    assert said.words
    assert "{" not in said.words
    assert set(said.values) == set(text.slots)


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != "en"])
def test_a_language_has_a_text_of_its_own_for_every_code(language: Language) -> None:
    path = SOURCE / "reference_tables" / "words" / f"{language}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        own = [row["code"] for row in csv.DictReader(file)]
    assert sorted(own) == sorted(texts())


@pytest.mark.parametrize("code", texts())
@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != "en"])
def test_every_text_of_a_language_can_be_said_with_the_values_of_the_english_one(language: Language, code: str) -> None:
    said = say(code, **some_values(texts()[code]))  # type: ignore[arg-type]  # slots as the table names them
    again = words_of(code, dict(said.values), language)
    assert again
    assert "{" not in again
    assert {name: kind.lower() for name, kind in texts(language)[code].slots.items()} == {
        name: kind.lower() for name, kind in texts()[code].slots.items()
    }


def test_german_writes_dates_decimals_years_of_ten_and_lists_its_own_way() -> None:
    text = next(one for one in texts("de").values() if "one_place" in one.slots.values())
    name = next(slot for slot, kind in text.slots.items() if kind == "one_place")
    values = {**some_values(text), name: 1234.56}
    assert "1234,6" in words_of(text.code, values, "de")  # type: ignore[arg-type]  # slots as the table names them
    dated = next(one for one in texts("de").values() if "date" in one.slots.values())
    assert re.search(r"\b22\. April\b", words_of(dated.code, some_values(dated), "de"))  # type: ignore[arg-type]  # slots as the table names them
    years = next(one for one in texts("de").values() if "of_ten" in one.slots.values())
    assert " von 10" in words_of(years.code, some_values(years), "de")  # type: ignore[arg-type]  # slots as the table names them
    pair = words_of("none_clean_unsprayed", {"share": 0.4, "cultivars": ("Enterprise", "Liberty")}, "de")
    assert "Enterprise und Liberty" in pair


def test_every_caution_has_its_words_and_is_quoted_somewhere() -> None:
    table = (SOURCE / "domain" / "tables" / "cautions.py").read_text(encoding="utf-8")
    names = {code: name for name, code in re.findall(r'^([A-Z_]+) = _caution\("([a-z_]+)"\)', table, re.MULTILINE)}
    assert set(names) == set(get_args(CautionCode))
    assert {code for code in texts() if code.startswith("caution.")} == {f"caution.{code}" for code in names}
    others = "".join(path.read_text(encoding="utf-8") for path in MODULES if path.name != "cautions.py")
    assert not [name for name in names.values() if not re.search(rf"\b{name}\b", others)]


def test_values_are_kept_as_they_are_said() -> None:
    said = say("figure_disagrees", field="warmest_month_mean_c", told=17.0, expected=21.349, unit="c")
    assert said.values["expected"] == 21.35
    assert said.words.startswith("warmest_month_mean_c (17 C) does not agree")
    held = say("disease_held_back", disease="fire_blight", pressure="low", by_weather="high", wanting="fire_blight")
    assert held.words.startswith("Fire blight: low pressure. The weather alone would make it high;")
    assert label("disease", "canker") == "European canker"


def test_an_assumption_in_words_carries_the_values_of_both_its_texts() -> None:
    taken = assume("ground/lie", "lie_colder", difference_c=1.26, each_100_m_c=6.2)
    assert taken.assumed == "1.3 C colder on the clearest calm nights"
    assert taken.values == {"difference_c": 1.3, "each_100_m_c": 6.2}
    window = assume("winter_chill/counted_from", "chill_window_untold", counted_from="11-01", counted_to="02-28")
    assert window.assumed == "the whole dormant season or 1 November to 28 February"


def test_a_date_of_a_year_is_said_with_it() -> None:
    asked = say("seen_not_computed", number=0, event="full_bloom", cultivar="Gala", id="gala", date="2024-04-25")
    assert "(full bloom of Gala on 25 April 2024)" in asked.words
