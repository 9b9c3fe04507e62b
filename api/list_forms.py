"""Planting lists in other forms than JSON: a table of their trees, places on a map, a picture of the best list."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from api import svg
from api.answer_forms import Form
from api.map_features import GEO_JSON, area_features, collection, feature, plot_feature
from api.plot_picture import PictureTree, plot_picture, row_bearings
from api.season_bars import Bar, in_words, season_bars
from api.suitability_forms import OF_CULTIVAR, of_cultivar
from api.svg import IMAGE_SVG, WIDTH_PX
from api.tables_of_answers import TEXT_CSV, Cell, table
from domain.common.faults import pointer
from domain.ground.plot import Plot
from domain.planting_list.list_answer import Picking, PlantedTree, PlantingList, PlantingLists, TreePlace
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.space import room
from domain.tables.words import say
from domain.trees.tree_size import TreeSize

COLUMNS = (
    "list",
    "list_verdict",
    "tree",
    *OF_CULTIVAR,
    "rootstock",
    "rootstock_id",
    "tree_form",
    "tree_form_id",
    "in_stock",
    "height_m",
    "crown_spread_m",
    "spacing_m",
    "yearly_crop_kg",
    "support",
    "ladder",
    "pollinated",
    "pollen_from",
    "picking_from",
    "picking_to",
    "use_until",
    "row",
    "longitude",
    "latitude",
    "x_m",
    "y_m",
    "words",
)
"""A row is a tree. Days are MM-DD; x_m and y_m run along the sides of a rectangle."""


def as_table(_: PlantingListsRequest, answered: PlantingLists) -> str:
    """Every tree of every list."""
    return table(COLUMNS, (row for one in answered.planting_lists for row in _rows(one)))


def _rows(one: PlantingList) -> Iterator[dict[str, Cell]]:
    picking = {season.id: season for season in one.picking_season}
    for number, tree in enumerate(one.trees, start=1):
        yield {
            "list": one.rank,
            "list_verdict": one.verdict,
            "tree": number,
            **of_cultivar(tree),
            "rootstock": tree.rootstock,
            "rootstock_id": tree.rootstock_id,
            "tree_form": tree.tree_form,
            "tree_form_id": tree.tree_form_id,
            "in_stock": tree.in_stock,
            "spacing_m": tree.spacing_m,
            "pollinated": tree.pollinated,
            "pollen_from": [partner.cultivar for partner in tree.pollination_partners],
            "words": tree.expect.words,
            **_of_size(tree.size),
            **_of_season(picking.get(tree.id)),
            **_of_place(tree.place),
        }


def _of_size(size: TreeSize | None) -> dict[str, Cell]:
    if size is None:
        return {}
    return {
        "height_m": size.height_m.likely,
        "crown_spread_m": size.crown_spread_m.likely,
        "yearly_crop_kg": size.yearly_crop_kg.likely,
        "support": size.support,
        "ladder": size.ladder,
    }


def _of_season(season: Picking | None) -> dict[str, Cell]:
    if season is None:
        return {}
    return {"picking_from": season.from_, "picking_to": season.to, "use_until": season.use_until}


def _of_place(place: TreePlace | None) -> dict[str, Cell]:
    if place is None:
        return {}
    if place.at is not None:
        longitude, latitude = place.at.coordinates
        return {"row": place.row, "longitude": longitude, "latitude": latitude}
    x_m, y_m = place.at_m or (None, None)
    return {"row": place.row, "x_m": x_m, "y_m": y_m}


def is_drawn(asked: PlantingListsRequest) -> bool:
    """Whether the trees stand on the map."""
    return asked.space.plot is not None


def as_map(asked: PlantingListsRequest, answered: PlantingLists) -> str:
    """A FeatureCollection: the plot, the areas, what stands, and the trees of every list, each told by `what`."""
    space = asked.space
    features = [] if space.plot is None else [plot_feature(space.plot)]
    features += area_features(space.no_planting_areas)
    for standing in asked.established:
        if standing.at is not None:
            told = {"what": "standing_tree", "cultivar": standing.cultivar, "label": standing.label}
            features.append(feature("Point", list(standing.at), told))
    for one in answered.planting_lists:
        features += [
            feature("Point", list(tree.place.at.coordinates), _told(one, number, tree))
            for number, tree in enumerate(one.trees, start=1)
            if tree.place is not None and tree.place.at is not None
        ]
    return collection(features)


def _told(one: PlantingList, number: int, tree: PlantedTree) -> dict[str, object]:
    size = tree.size
    return {
        "what": "tree",
        "list": one.rank,
        "tree": number,
        "cultivar": tree.cultivar,
        "id": tree.id,
        "verdict": tree.verdict,
        "rootstock": tree.rootstock,
        "tree_form": tree.tree_form,
        "crown_spread_m": None if size is None else size.crown_spread_m.likely,
        "height_m": None if size is None else size.height_m.likely,
        "row": None if tree.place is None else tree.place.row,
        "pollen_from": [partner.cultivar for partner in tree.pollination_partners],
    }


def as_picture(asked: PlantingListsRequest, answered: PlantingLists) -> str:
    """The best list: its trees on their ground, where they have a place, and when they are picked."""
    if not answered.planting_lists:
        title = say("picture_no_list").words
        return svg.document(title, title, [svg.heading(title, [one.words for one in answered.limits], WIDTH_PX)])
    best = answered.planting_lists[0]
    title = say("picture_list", trees=len(best.trees)).words
    plot = room(asked.space, asked.wanted, asked.site.latitude, asked.established).plot
    placed = plot is not None and any(tree.place is not None for tree in best.trees)
    lines = [one.words for one in best.why[:2]]
    if placed:
        lines.append(say("picture_north_up").words)
    parts = [svg.heading(title, lines, WIDTH_PX)]
    key = _key(best)
    if plot is not None and placed:
        parts += plot_picture(plot, _placed(plot, best), key, _standing(asked))
    bars = [
        Bar(season.cultivar, picking=(season.from_, season.to), use_until=season.use_until)
        for season in best.picking_season
    ]
    told = [f"{one}." for one in key]
    if bars:
        parts += season_bars(bars)
        told.append(in_words(bars))
    return svg.document(title, " ".join(told), parts)


def _standing(asked: PlantingListsRequest) -> dict[str, str]:
    """Names of the trees that stand at a place, by that place in the request."""
    named: dict[str, str] = {}
    for n, tree in enumerate(asked.established):
        if name := tree.label or tree.cultivar:
            named |= {pointer("established", n, "at"): name, pointer("established", n, "at_m"): name}
    return named


def _key(one: PlantingList) -> list[str]:
    """What the numbers in the picture mean: trees of one kind share one."""
    counted = Counter(_name(tree) for tree in one.trees)
    return [
        name if count == 1 else say("picture_several", name=name, count=count).words for name, count in counted.items()
    ]


def _name(tree: PlantedTree) -> str:
    if tree.rootstock is None or tree.tree_form is None:
        return tree.cultivar
    return say("picture_tree", cultivar=tree.cultivar, form=tree.tree_form, rootstock=tree.rootstock).words


def _placed(plot: Plot, one: PlantingList) -> list[PictureTree]:
    order = {name: number for number, name in enumerate(dict.fromkeys(_name(tree) for tree in one.trees), start=1)}
    found: list[tuple[PictureTree, int | None]] = []
    for tree in one.trees:
        if tree.place is None or (place := tree.place.at.coordinates if tree.place.at else tree.place.at_m) is None:
            continue
        x, y = plot.frame.to_plane([place])[0]
        size = tree.size
        drawn = PictureTree(
            x=float(x),
            y=float(y),
            crown_m=tree.spacing_m or 1.0 if size is None else size.crown_spread_m.likely,
            number=order[_name(tree)],
            name=tree.cultivar,
            depth_m=None if size is None else size.depth_m,
        )
        found.append((drawn, tree.place.row))
    bearings = row_bearings([(tree.x, tree.y) for tree, _ in found], [row for _, row in found])
    return [replace(tree, bearing_deg=bearing) for (tree, _), bearing in zip(found, bearings, strict=True)]


LIST_FORMS = (
    Form(TEXT_CSV, "A table, RFC 4180: a row a tree of every list.", as_table),
    Form(
        GEO_JSON,
        "GeoJSON (RFC 7946) of a list on a drawn plot: `what` of a feature is ground, area, standing_tree or tree.",
        as_map,
        is_drawn,
    ),
    Form(IMAGE_SVG, "A picture of the best list: its trees on their ground, and when they are picked.", as_picture),
)
