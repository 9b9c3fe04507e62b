"""Forms of an answer by ``Accept``: which is chosen, and each read by a reader that knows nothing of this program.

RFC 9110, section 12.5.1 (Accept) and 12.5.5 (Vary); RFC 4180 (CSV); RFC 7946 (GeoJSON); SVG 1.1 as an XML document.
"""

import csv
import io
import json
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import resvg_py
import shapely
from litestar.testing import TestClient

from api.answer_forms import chosen
from api.tables_of_answers import table

REQUESTS = Path(__file__).parents[2] / "examples" / "requests"
Client = TestClient[Any]
Asked = dict[str, Any]

LISTS, LAYOUTS, SUITABILITIES = "/v1/planting-lists", "/v1/plot-layouts", "/v1/suitabilities"
CALENDARS = "/v1/season-calendars"
CSV, MAP, PICTURE = "text/csv", "application/geo+json", "image/svg+xml"


def example(name: str) -> Asked:
    found: Asked = json.loads((REQUESTS / f"{name}.json").read_bytes())
    return found


def ask(client: Client, path: str, body: Asked, accept: str, status: int = 200) -> Any:
    answer = client.post(path, json=body, headers={"Accept": accept})
    assert answer.status_code == status, answer.text
    return answer


RECTANGLE: Asked = {
    "site": {"latitude": 51.0, "longitude": 0.5},
    "space": {
        "rectangle_m": [30, 20],
        "bearing_deg": 20,
        "areas_m": [
            {"corners_m": [[0, 0], [8, 0], [8, 6], [0, 6]], "kind": "house", "height_m": 6},
            {"corners_m": [[12, 0], [12, 20]], "line": True, "kind": "path"},
        ],
    },
    "wanted": {"most_trees": 6},
    "lists": 1,
    "established": [{"cultivar": "Bramley's Seedling", "at_m": [18, 16], "spread_m": 7, "height_m": 6}],
}


@pytest.mark.parametrize(
    ("accept", "expected"),
    [
        (None, "application/json"),
        ("", "application/json"),
        ("*/*", "application/json"),
        ("text/csv", CSV),
        ("text/*", CSV),
        ("TEXT/CSV", CSV),
        ("text/csv;q=0.5, application/json;q=0.4", CSV),
        ("text/csv;q=0.4, application/json;q=0.5", "application/json"),
        ("application/json;q=0, */*", CSV),
        ("text/csv;q=0, */*;q=0.1", "application/json"),
        ("image/*, text/csv;q=0.9", PICTURE),
        ("application/problem+json", "application/json"),
        ("text/csv, application/problem+json", CSV),
        ("text/csv;q=0.3, application/problem+json;q=0.9", CSV),
        ("application/problem+json, text/html", "application/json"),
        ("application/problem+json, application/json;q=0", None),
        ("application/problem+json;q=0", None),
        ("text/html", None),
        ("application/json;q=0", None),
    ],
)
def test_the_heaviest_form_is_chosen(accept: str | None, expected: str | None) -> None:
    assert chosen(accept, ("application/json", CSV, PICTURE)) == expected


@pytest.mark.parametrize("path", [LISTS, LAYOUTS, SUITABILITIES, CALENDARS])
def test_what_is_not_offered_is_refused_with_what_is(client: Client, path: str) -> None:
    refused = client.post(path, json={}, headers={"Accept": "application/pdf"})
    assert refused.status_code == 406
    assert refused.headers["content-type"] == "application/problem+json"
    assert "Accept" in refused.headers["vary"]
    assert PICTURE in refused.json()["detail"]


def test_a_form_that_does_not_fit_gives_way_to_one_that_does(client: Client) -> None:
    five = example("hollin-lane-planting-lists")
    refused = ask(client, LISTS, five, MAP, 406)
    assert "drawn plot" in refused.json()["detail"]
    assert ask(client, LISTS, five, f"{MAP}, {CSV};q=0.1").headers["content-type"].startswith(CSV)


def test_a_refusal_is_a_problem_whatever_form_is_asked_for(client: Client) -> None:
    refused = ask(client, SUITABILITIES, {"site": {"latitude": 95, "longitude": 0}}, PICTURE, 422)
    assert refused.headers["content-type"] == "application/problem+json"
    assert refused.json()["errors"][0]["pointer"] == "#/site/latitude"


def read_csv(answer: Any) -> list[dict[str, str]]:
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    text = answer.content.decode("utf-8")
    assert text.endswith("\r\n")
    assert re.search(r"(?<!\r)\n", text) is None, "lines end with CRLF"
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert {len(row) for row in rows} == {len(rows[0])}, "every line has as many cells as the head"
    assert len(set(rows[0])) == len(rows[0])
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def test_suitabilities_as_a_table(client: Client) -> None:
    asked = example("hollin-lane-suitabilities") | {"cultivars": ["Bramley's Seedling", "Pink Lady", "Discovery"]}
    told = ask(client, SUITABILITIES, asked, "application/json").json()["suitabilities"]
    rows = read_csv(ask(client, SUITABILITIES, asked, CSV))
    assert len(rows) == len(told) == 3
    for row, one in zip(rows, told, strict=True):
        assert (row["cultivar"], row["id"], row["verdict"], row["words"]) == tuple(
            one[name] for name in ("cultivar", "id", "verdict", "words")
        )
        assert row["asked"] == one["asked"]
        assert float(row["rank_value"]) == one["rank_value"]
        assert row["full_bloom"] == one["bloom"]["full"]
        assert [row["picking_from"], row["picking_to"]] == [one["harvest"]["first"], one["harvest"]["last"]]
        assert int(row["years_in_ten"]) == one["cropping_years_in_ten"]["likely"]
    assert [row["rank"] for row in rows] == ["1", "2", "3"]


def test_lists_as_a_table(client: Client) -> None:
    asked = example("hollin-lane-garden-planting-lists") | {"lists": 2}
    told = ask(client, LISTS, asked, "application/json").json()["planting_lists"]
    rows = read_csv(ask(client, LISTS, asked, CSV))
    trees = [(one["rank"], tree) for one in told for tree in one["trees"]]
    assert len(rows) == len(trees) > 8
    for row, (rank, tree) in zip(rows, trees, strict=True):
        assert (row["list"], row["cultivar"], row["rootstock"]) == (str(rank), tree["cultivar"], tree["rootstock"])
        assert float(row["height_m"]) == tree["size"]["height_m"]["likely"]
        place = [float(row["longitude"]), float(row["latitude"])]
        assert place == pytest.approx(tree["place"]["at"]["coordinates"], abs=1e-7)
        assert row["pollen_from"].split("; ") == [one["cultivar"] for one in tree["pollination_partners"]]


def test_cells_are_quoted_and_never_a_formula() -> None:
    text = table(("a", "b"), [{"a": 'said "so", twice\r\nover', "b": ["x, y", "z"]}, {"a": "=1+1", "b": None}])
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert rows == [["a", "b"], ['said "so", twice\r\nover', "x, y; z"], ["'=1+1", ""]]
    assert table(("n", "t"), [{"n": -2.5, "t": True}]).splitlines()[1] == "-2.5,true"


def features(answer: Any) -> list[dict[str, Any]]:
    assert answer.headers["content-type"] == MAP
    found = answer.json()
    assert found["type"] == "FeatureCollection"
    assert "crs" not in found
    listed: list[dict[str, Any]] = found["features"]
    for one in listed:
        assert one["type"] == "Feature"
        assert set(one) == {"type", "geometry", "properties"}
        shape = shapely.from_geojson(json.dumps(one["geometry"]))
        assert shape.is_valid
        west, south, east, north = shape.bounds
        assert -180 <= west <= east <= 180
        assert -90 <= south <= north <= 90
        polygons = [shape] if shape.geom_type == "Polygon" else getattr(shape, "geoms", [])
        for polygon in polygons:
            assert polygon.exterior.is_ccw, "RFC 7946, section 3.1.6: outer rings run counter-clockwise"
            assert not any(ring.is_ccw for ring in polygon.interiors)
    return listed


def test_a_list_on_a_map(client: Client) -> None:
    asked = example("hollin-lane-garden-planting-lists")
    ring = asked["space"]["plot"]["coordinates"][0]
    clockwise = [list(reversed(ring))]
    asked["space"]["plot"] = {"type": "Polygon", "coordinates": clockwise}
    told = ask(client, LISTS, asked, "application/json").json()["planting_lists"][0]["trees"]
    found = features(ask(client, LISTS, asked, MAP))
    by_what = {what: [one for one in found if one["properties"]["what"] == what] for what in ("ground", "area", "tree")}
    (ground,) = (shapely.from_geojson(json.dumps(one["geometry"])) for one in by_what["ground"])
    assert ground.equals(shapely.Polygon(ring))
    assert {one["properties"]["kind"] for one in by_what["area"]} == {"house", "buried_line"}
    assert [one["properties"]["cultivar"] for one in by_what["tree"]] == [tree["cultivar"] for tree in told]
    assert all(ground.contains(shapely.from_geojson(json.dumps(one["geometry"]))) for one in by_what["tree"])
    standing = [one for one in found if one["properties"]["what"] == "standing_tree"]
    assert [one["properties"]["cultivar"] for one in standing] == ["James Grieve"]


def test_a_layout_on_a_map_is_its_answer(client: Client) -> None:
    asked = example("hollin-lane-plot-layouts")
    on_map = ask(client, LAYOUTS, asked, MAP)
    assert len(features(on_map)) == on_map.json()["count"]
    plain = ask(client, LAYOUTS, asked, "application/json").json()
    assert {name: plain[name] for name in plain if name != "versions"} == {
        name: value for name, value in on_map.json().items() if name != "versions"
    }
    ask(client, LAYOUTS, example("walled-corner-plot-layouts"), MAP, 406)


SVG = "{http://www.w3.org/2000/svg}"


def picture(answer: Any) -> ElementTree.Element:
    """An SVG that an XML reader and a rasteriser read, with its title, nothing active and nothing from elsewhere."""
    assert answer.headers["content-type"].startswith(PICTURE)
    root = ElementTree.fromstring(answer.content)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert title.text
    assert description is not None
    assert description.text
    allowed = {"svg", "title", "desc", "g", "rect", "circle", "path", "polyline", "text", "clipPath"}
    for one in root.iter():
        assert one.tag.removeprefix(SVG) in allowed
        assert not any(name.startswith("on") or "href" in name or name == "style" for name in one.attrib)
    png = bytes(resvg_py.svg_to_bytes(svg_string=answer.text))
    assert png.startswith(b"\x89PNG")
    width, height = int.from_bytes(png[16:20]), int.from_bytes(png[20:24])
    assert width == pytest.approx(float(root.attrib["width"]), abs=1)
    assert height == pytest.approx(float(root.attrib["height"]), abs=1)
    return root


def texts(root: ElementTree.Element) -> list[str]:
    return ["".join(one.itertext()) for one in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("name", ["hollin-lane-plot-layouts", "walled-corner-plot-layouts"])
def test_a_layout_as_a_picture_is_to_scale(client: Client, name: str) -> None:
    asked = example(name)
    count = ask(client, LAYOUTS, asked, "application/json").json()["count"]
    root = picture(ask(client, LAYOUTS, asked, PICTURE))
    crowns = [float(one.attrib["r"]) for one in root.iter(f"{SVG}circle") if one.get("fill") == "#cfe6bd"]
    assert len(crowns) == count
    bar = next(one for one in texts(root) if re.fullmatch(r"[\d.]+ m", one))
    drawn = next(one.attrib["d"] for one in root.iter(f"{SVG}path") if "H" in one.get("d", ""))
    px = float(re.search(r"H([\d.]+)", drawn)[1])  # type: ignore[index]  # the path was chosen by its H
    px_per_m = px / float(bar.split()[0])
    assert max(crowns) == pytest.approx(asked["spread_m"] / 2 * px_per_m, rel=0.01)
    assert {"north", "ground"} <= set(texts(root))


def test_a_list_as_a_picture_names_its_trees(client: Client) -> None:
    trees = ask(client, LISTS, RECTANGLE, "application/json").json()["planting_lists"][0]["trees"]
    root = picture(ask(client, LISTS, RECTANGLE, PICTURE))
    said = " ".join(texts(root))
    for tree in trees:
        assert f"{tree['cultivar']}, {tree['tree_form']} on {tree['rootstock']}" in said
    assert {"house", "path", "tree that stands", "north", "Bramley's Seedling"} <= set(texts(root))
    hidden = "".join(root.itertext())
    assert "Picked from" in hidden


def test_seasons_as_a_picture(client: Client) -> None:
    root = picture(ask(client, SUITABILITIES, example("hollin-lane-suitabilities"), PICTURE))
    assert {"Discovery", "Granny Smith", "May", "October", "last frost in the middle year"} <= set(texts(root))
    assert "Blooms from" in "".join(root.itertext())
    root = picture(ask(client, CALENDARS, example("hollin-lane-season-calendars"), PICTURE))
    assert {"first ripe fruit in eight years of ten", "later one year in ten"} <= set(texts(root))


def test_a_southern_season_is_one_piece(client: Client) -> None:
    """Bars of a season that spans the new year run from spring to autumn, left to right."""
    asked = {"site": {"latitude": -41.2, "longitude": 173.2}, "cultivars": ["Discovery", "Fuji"]}
    root = picture(ask(client, SUITABILITIES, asked, PICTURE))
    bloom = [float(one.attrib["x"]) for one in root.iter(f"{SVG}rect") if one.get("stroke") == "#8c2f55"]
    picking = [float(one.attrib["x"]) for one in root.iter(f"{SVG}rect") if one.get("stroke") == "#7b430d"]
    assert max(bloom[:2]) < min(picking[:2])


def test_without_a_winter_a_told_frost_does_not_break_the_picture(client: Client) -> None:
    asked = {"site": {"latitude": 1.0, "longitude": 103.8, "last_spring_frost": {"median": "05-06"}}}
    assert "Nothing blooms or ripens here." in texts(picture(ask(client, SUITABILITIES, asked, PICTURE)))


HIGHLAND: Asked = {"latitude": -7.87, "longitude": 112.53, "elevation_m": 1000}


@pytest.mark.parametrize(("path", "named"), [(SUITABILITIES, {}), (CALENDARS, {"cultivars": ["Anna"]})])
def test_where_leaves_are_stripped_each_time_is_a_row(client: Client, path: str, named: Asked) -> None:
    stripped = {"site": HIGHLAND | {"leaf_stripping": ["02-01", "08-01"]}, **named}
    answered = ask(client, path, stripped, "application/json").json()
    cycles = next(one["stripped"]["cycles"] for one in answered.get("suitabilities") or answered["stripped"])
    root = picture(ask(client, path, stripped, PICTURE))
    assert texts(root).count("Anna") == len(cycles) == 2
    description = root.findtext(f"{SVG}desc") or ""
    assert description.startswith("Anna. Blooms from ")
    unstripped = picture(ask(client, path, {"site": HIGHLAND, **named}, PICTURE))
    assert any("unless leaves are stripped" in words for words in texts(unstripped))


def test_where_nothing_can_be_had_the_picture_says_so(client: Client) -> None:
    asked = {"site": {"latitude": 10.3, "longitude": -84.0}, "space": {"tree_count": 3}}
    root = picture(ask(client, LISTS, asked, PICTURE))
    assert "No list can be had" in texts(root)


def test_words_of_callers_are_written_safely(client: Client) -> None:
    asked = {**RECTANGLE, "established": [{**RECTANGLE["established"][0], "label": "<b>&\"'"}]}
    root = picture(ask(client, LISTS, asked, PICTURE))
    assert any("<b>&\"'" in one for one in root.itertext())


def test_what_no_document_may_hold_is_marked_in_a_picture(client: Client) -> None:
    """XML 1.0, section 2.2: of the control characters only tab and line ends; JSON can tell all of them."""
    label = "row\x00 1\x1b\ufffe\t\U0001f34e"
    trees = [{"cultivar": "Gala", "label": label, "at_m": [18, 16], "spread_m": 9}]
    root = picture(ask(client, LISTS, RECTANGLE | {"established": trees}, PICTURE))
    told = [one.text or "" for one in root.iter("{http://www.w3.org/2000/svg}title")]
    assert any("row\ufffd 1\ufffd\ufffd\t\U0001f34e" in words for words in told)


def test_equal_requests_get_equal_bytes(client: Client) -> None:
    for path, body, accept in (
        (LISTS, RECTANGLE, PICTURE),
        (LISTS, RECTANGLE, CSV),
        (SUITABILITIES, example("hollin-lane-suitabilities"), PICTURE),
    ):
        assert ask(client, path, body, accept).content == ask(client, path, body, accept).content


def test_every_form_of_the_contract_is_answered(client: Client) -> None:
    contract = client.get("/openapi.json").json()
    tried = 0
    for path, methods in contract["paths"].items():
        for method, operation in methods.items():
            content = operation["responses"]["200"]["content"]
            if method == "post":
                examples = operation["requestBody"]["content"]["application/json"]["examples"]
                for media_type in content:
                    statuses = {
                        client.post(path, json=one["value"], headers={"Accept": media_type}).status_code
                        for one in examples.values()
                    }
                    assert 200 in statuses, (path, media_type)
                    assert statuses <= {200, 406}, (path, media_type)
                    tried += 1
    assert tried >= 18
