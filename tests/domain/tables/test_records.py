"""Rootstocks and tree forms: adopted tables recomputed, bad rows refused by file, line and column."""

from pathlib import Path
from shutil import copytree

import pytest

from domain.adoption.rootstock_traits import WordScore, class_limits
from domain.adoption.rootstocks import adopted_tables
from domain.tables.loading import TABLES, TableError, rows
from domain.tables.rootstock_observations import NOT_ROOTSTOCKS, RootstockObservation
from domain.tables.rootstock_search import RootstockFilters, TreeFormFilters, find_rootstocks, find_tree_forms
from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms


def test_committed_tables_are_recomputed() -> None:
    for name, text in adopted_tables().items():
        assert (TABLES / name).read_text(encoding="utf-8") == text, f"{name}: run python -m domain.adoption.rootstocks"


def test_every_word_of_a_scored_trait_has_a_score() -> None:
    scored = {
        (word.trait, word.scheme, word.published) for word in rows(TABLES / "space/rootstock_words.csv", WordScore)
    }
    relative = {("burr_knots", "similar to M.9"), ("suckering", "similar to M.9")}
    for o in rows(TABLES / "observations/rootstocks.csv", RootstockObservation):
        if o.is_rootstock and o.trait in class_limits() and (o.trait, o.published) not in relative:
            assert (o.trait, o.scheme, o.published) in scored or o.low is not None, (o.trait, o.published)


def test_forms_and_classes_are_no_rootstocks() -> None:
    stocks = rootstocks()
    assert not NOT_ROOTSTOCKS & set(stocks)
    assert len(stocks) > 60
    sizes = [stock.size for stock in stocks.values() if "size_percent" in stock.numbers]
    assert sizes == sorted(sizes)
    assert all(0.1 < size < 1.1 for size in sizes)
    assert all(
        stock.numbers["size_percent"].deviation > 0 for stock in stocks.values() if "size_percent" in stock.numbers
    )


def test_commonly_sold_is_known_of_stocks_that_exist() -> None:
    sold = [stock.id for stock in rootstocks().values() if stock.commonly_sold_in]
    assert {"m-9", "m-26", "mm-106", "mm-111"} <= set(sold)
    assert len(sold) == 27


def test_every_form_is_whole() -> None:
    for form in tree_forms().values():
        assert {"mature_height", "spread", "pruning_hours", "rootstock_size"} <= set(form.ranges)
        assert all(told.low <= told.high for told in form.ranges.values())
    assert tree_forms()["stepover"].ladder == "never"
    assert tree_forms()["standard"].ladder == "always"


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("adopted/rootstocks.csv", ",permanent,", ",,", "missing required field `value`"),
        ("adopted/rootstocks.csv", "B.64-194,size_percent,", "B.64-194,size_percent,large", "line 21, column value"),
        ("adopted/tree_forms.csv", "bush,mature_height,2.0,", "bush,mature_height,low,", "line 2, column low"),
        ("space/tree_forms.csv", "free_standing", "anywhere", "line 2, column arrangement"),
        ("space/tree_forms.csv", "bush,bush,", "bush,", "9 columns"),
    ],
)  # fmt: skip
def test_a_bad_row_is_refused(tmp_path: Path, name: str, old: str, new: str, says: str) -> None:
    for folder in ("adopted", "space"):
        copytree(TABLES / folder, tmp_path / folder)
    path = tmp_path / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    load = tree_forms if "tree_forms" in name else rootstocks
    with pytest.raises(TableError, match=says) as refused:
        load(tmp_path)
    assert Path(name).name in str(refused.value)


def test_filters_take_known_traits_only() -> None:
    stocks, forms = rootstocks().values(), tree_forms().values()
    dwarfs = find_rootstocks(stocks, RootstockFilters(greatest_size=45))
    assert {"m-27", "bud-9"} <= {stock.id for stock in dwarfs}
    assert all(stock.size <= 0.45 for stock in dwarfs)
    sound = find_rootstocks(
        stocks, RootstockFilters(resists=("fire_blight", "woolly_apple_aphid"), tolerates=("replant",))
    )
    assert {"g-41", "g-210", "g-890"} <= {stock.id for stock in sound}
    assert {stock.id for stock in find_rootstocks(stocks, RootstockFilters(q="mm.106"))} == {
        "mm-106",
        "interstem-m-9-on-mm-106",
        "interstem-m-27-or-m-9-on-mm-106",
    }
    assert len(find_rootstocks(stocks, RootstockFilters(commonly_sold=True))) == 27
    free = find_rootstocks(stocks, RootstockFilters(self_supporting=True, hardy=True))
    assert "mm-111" in {stock.id for stock in free}
    assert "m-27" not in {stock.id for stock in free}
    fences = find_tree_forms(forms, TreeFormFilters(arrangement="fence"))
    assert {form.id for form in fences} == {"oblique-cordon", "espalier", "fan", "stepover"}
    low = find_tree_forms(forms, TreeFormFilters(no_ladder=True, keep_height_m=2.0, bearing="tip"))
    assert {form.id for form in low} == {"dwarf-bush"}
