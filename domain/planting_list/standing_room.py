"""The room that trees which stand will take grown up, by their stock, form and age, where new ones are laid out."""

from collections.abc import Sequence

from msgspec.structs import replace

from domain.common.faults import ContentFault, ContentFaults, collecting
from domain.ground.standing_tree import StandingTree, stock_and_form, years_planted
from domain.tables.loading import Tables
from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms
from domain.trees.tree_size import Likely, ScionGrowth, scion_growth, tree_size

USUAL_FORM = "bush"


def grown_up(trees: Sequence[StandingTree], tables: Tables, as_of: str | None) -> list[StandingTree]:
    """Each tree with the height and spread (m) that it grows to; those of a tree of which only these are told stay.

    What is told of a young one grows as its like does from that age on, up to what its stock and form reach at the
    high end, and is never less than told. as_of: today, YYYY-MM-DD. Raises ContentFaults for unknown names of stocks
    and forms, and for years after today or without one.
    """
    faults: list[ContentFault] = []
    found = []
    for n, tree in enumerate(trees):
        cultivar_id = None if tree.cultivar is None else tables.names.resolve(tree.cultivar)
        scion = ScionGrowth() if cultivar_id is None else scion_growth(tables.by_id[cultivar_id])
        stock = form = years = None
        with collecting(faults):
            stock, form = stock_and_form(tree, "established", n)
        with collecting(faults):
            years = years_planted(tree, as_of, "established", n)
        found.append(_grown(tree, scion, stock, form, years))
    if faults:
        raise ContentFaults(faults)
    return found


def _grown(
    tree: StandingTree, scion: ScionGrowth, stock: str | None, form: str | None, years: int | None
) -> StandingTree:
    if stock is None and form is None and years is None:
        return tree
    shape, roots = tree_forms()[form or USUAL_FORM], None if stock is None else rootstocks()[stock]
    grown = tree_size(scion, roots, shape)
    now = grown if years is None else tree_size(scion, roots, shape, age_years=years)

    def of(told: float | None, later: Likely, today: Likely) -> float:
        if told is None:
            return later.likely
        grows = min(told * max(later.likely / today.likely, 1.0), later.high)  # a whip told tall is ahead of its years
        return max(told, round(grows, 1))

    return replace(
        tree,
        height_m=of(tree.height_m, grown.height_m, now.height_m),
        spread_m=of(tree.spread_m, grown.crown_spread_m, now.crown_spread_m),
    )
