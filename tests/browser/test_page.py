"""The page that a club can embed: asked with the keyboard alone, on a phone, with mistakes, without the service.

Accessibility by axe-core, the checker of Deque Systems, with its rules for WCAG 2.2 A and AA. Where no Chromium or no
Playwright is installed these tests are skipped and say so.
"""

import json
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from examples.demo import serve

playwright = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed (extra `browser`)")
axe = pytest.importorskip("axe_playwright_python", reason="axe is not installed (extra `browser`)")

PAGE = Path(__file__).parents[2] / "examples" / "page" / "planting-lists.html"
CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
AXE = (Path(axe.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LONG_MS = 60_000

if CHROMIUM is None:
    pytest.skip("Chromium is not installed", allow_module_level=True)


@pytest.fixture(scope="module")
def service() -> Iterator[str]:
    server, thread, port = serve()
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(timeout=10)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Its own thread has no event loop, as Playwright asks."""
    assert threading.current_thread() is threading.main_thread()
    with playwright.sync_playwright() as started:
        launched = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield launched
        launched.close()


@pytest.fixture
def page(browser: Any, service: str, tmp_path: Path) -> Iterator[Any]:
    """The page with this service's address, as whoever embeds it writes it in."""
    yield from opened(browser, tmp_path, service, {"width": 1100, "height": 900})


@pytest.fixture
def phone(browser: Any, service: str, tmp_path: Path) -> Iterator[Any]:
    yield from opened(browser, tmp_path, service, {"width": 360, "height": 740})


def opened(browser: Any, tmp_path: Path, service: str, size: dict[str, int]) -> Iterator[Any]:
    file = tmp_path / "page.html"
    text = PAGE.read_text(encoding="utf-8")
    assert text.count('data-service="http://127.0.0.1:8000"') == 1
    file.write_text(text.replace("http://127.0.0.1:8000", service), encoding="utf-8")
    context = browser.new_context(viewport=size, reduced_motion="reduce")
    made = context.new_page()
    troubles: list[str] = []
    made.on("pageerror", lambda error: troubles.append(str(error)))
    asked: list[str] = []
    made.on("request", lambda request: asked.append(request.url))
    made.goto(file.as_uri())
    yield made
    assert troubles == []
    assert [url for url in asked if not url.startswith((service, "file:"))] == [], "no other host is asked"
    context.close()


def answered(page: Any) -> None:
    page.wait_for_selector("#answer h2", timeout=LONG_MS)
    page.wait_for_function("!document.querySelector('[aria-disabled], [aria-busy]')", timeout=LONG_MS)


def violations(page: Any) -> list[str]:
    page.evaluate(AXE)
    options = json.dumps({"runOnly": {"type": "tag", "values": RULES}})
    found = page.evaluate(f"axe.run(document, {options})")
    assert len(found["passes"]) > 15, "the checker looked at something"
    return [
        f"{one['id']} ({one['impact']}): {one['help']}: {[node['html'][:90] for node in one['nodes']]}"
        for one in found["violations"]
    ]


def test_it_asks_with_the_keyboard_alone(page: Any) -> None:
    page.focus(".map")
    before = float(page.input_value("#longitude"))
    page.keyboard.press("ArrowRight")
    assert float(page.input_value("#longitude")) > before
    page.keyboard.press("ArrowLeft")
    reached = []
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.id || document.activeElement.className"))
        if reached[-1] == "ask":
            break
    assert {"latitude", "longitude", "trees", "must", "around"} <= set(reached)
    page.keyboard.press("Enter")
    answered(page)
    assert page.evaluate("document.activeElement.textContent") == "List 1"
    assert page.text_content("#state") == "3 lists."
    rows = page.locator("section[aria-labelledby=list-1] tbody tr")
    assert rows.count() == 4
    assert "on M" in rows.first.inner_text()
    assert page.locator("#season-title").count() == 1
    assert page.locator("svg #season-desc").text_content().count("Blooms from") == 4


def test_ground_is_drawn_with_its_trees(page: Any) -> None:
    page.check("input[value=ground]")
    assert not page.is_visible("#trees")
    page.fill("#wide", "14")
    page.fill("#deep", "9")
    page.check("input[value=cooking]")
    page.click(".ask")
    answered(page)
    crowns = page.locator("[aria-label='The best list on its ground'] svg circle[fill='#cfe6bd']")
    trees = page.locator("section[aria-labelledby=list-1] tbody tr").count()
    assert crowns.count() == trees >= 4


def test_words_in_the_pictures_never_run_into_each_other(page: Any) -> None:
    page.check("input[value=ground]")
    page.fill("#wide", "30")
    page.fill("#deep", "20")
    page.fill("#bearing", "25")
    page.click(".ask")
    answered(page)
    boxes = page.evaluate(
        """() => [...document.querySelectorAll('.scroll > svg')].map((svg) => {
          const around = svg.getBoundingClientRect();
          return [...svg.querySelectorAll('text')].map((text) => {
            const box = text.getBoundingClientRect();
            return [box.left - around.left, box.top - around.top, box.right - around.left, box.bottom - around.top,
                    around.width, around.height, text.textContent];
          });
        })"""
    )
    assert len(boxes) == 2
    for picture in boxes:
        assert len(picture) > 8
        for left, top, right, bottom, width, height, words in picture:
            assert min(left, top) >= 0, words
            assert right <= width, words
            assert bottom <= height, words
        for n, (left, top, right, bottom, *_, words) in enumerate(picture):
            for other in picture[n + 1 :]:
                apart = right <= other[0] + 1 or other[2] <= left + 1 or bottom <= other[1] + 4 or other[3] <= top + 4
                assert apart, (words, other[6])


def test_each_fault_is_told_at_its_field(page: Any) -> None:
    page.fill("#latitude", "95")
    page.fill("#trees", "many")
    page.click(".ask")
    page.wait_for_selector(".fault", timeout=LONG_MS)
    assert page.get_attribute("#latitude", "aria-invalid") == "true"
    assert page.get_attribute("#trees", "aria-invalid") == "true"
    told = page.get_attribute("#latitude", "aria-describedby")
    assert "at most 90" in page.text_content(f"#{told}")
    assert page.evaluate("document.activeElement.id") in {"latitude", "trees"}
    assert violations(page) == []
    page.fill("#latitude", "53.75")
    page.fill("#trees", "3")
    page.fill("#must", "Discovery, Golden Delishus")
    page.click(".ask")
    page.wait_for_selector(".fault button", timeout=LONG_MS)
    assert page.get_attribute("#latitude", "aria-invalid") is None
    page.click(".fault button")
    assert page.input_value("#must") == "Discovery, Golden Delicious"
    page.click(".ask")
    answered(page)
    assert "Golden Delicious" in page.inner_text("section[aria-labelledby=list-1] tbody")


def test_it_says_when_the_service_is_not_there(browser: Any, tmp_path: Path) -> None:
    for made in opened(browser, tmp_path, "http://127.0.0.1:9", {"width": 800, "height": 800}):
        made.click(".ask")
        made.wait_for_selector("#state.bad", timeout=LONG_MS)
        assert "cannot be reached" in made.text_content("#state")


@pytest.mark.parametrize(
    ("status", "slug"), [(503, "service-busy"), (429, "too-many-requests"), (413, "body-too-large"), (502, None)]
)
def test_it_says_why_nothing_was_answered(page: Any, status: int, slug: str | None) -> None:
    """The keyboard stays at the button, so that Enter asks again; what was asked before is not lost."""
    problem = {"type": f"/problems/{slug}", "title": "Not now", "status": status, "detail": "It is so.", "errors": []}
    headers = {"access-control-allow-origin": "*", "access-control-expose-headers": "Retry-After", "retry-after": "5"}
    page.route(
        "**/v1/planting-lists",
        lambda route: route.fulfill(status=status, headers=headers, body=json.dumps(problem) if slug else "<html>"),
    )
    page.fill("#trees", "3")
    page.focus(".ask")
    page.keyboard.press("Enter")
    page.wait_for_selector("#state.bad", timeout=LONG_MS)
    told = "Not now. It is so. Try again in 5 seconds." if slug else "The service answered 502. Try again in 5 seconds."
    assert page.text_content("#state") == told
    assert page.evaluate("document.activeElement.className") == "ask"
    assert violations(page) == []
    page.unroute("**/v1/planting-lists")
    page.keyboard.press("Enter")
    answered(page)
    assert page.locator("section[aria-labelledby=list-1] tbody tr").count() == 3


def test_a_list_stands_without_its_pictures(page: Any) -> None:
    page.route("**/v1/suitabilities", lambda route: route.abort())
    page.click(".ask")
    answered(page)
    assert "No picture could be had" in page.inner_text(".pictures")
    assert page.locator("section[aria-labelledby=list-1] tbody tr").count() == 4


def test_each_picture_stands_as_it_comes(page: Any) -> None:
    """That of the ground is held back here; that of the seasons waits for nothing."""
    held: list[Any] = []

    def hold(route: Any) -> None:
        if route.request.headers["accept"] == "image/svg+xml":
            held.append(route)
        else:
            route.continue_()

    page.route("**/v1/planting-lists", hold)
    page.click(".ask")
    page.wait_for_selector("#season-title", state="attached", timeout=LONG_MS)
    assert page.locator("#plot-title").count() == 0
    assert page.get_attribute(".pictures", "aria-busy") == "true"
    (ground,) = held
    ground.continue_()
    answered(page)
    labels = page.locator(".pictures [role=region]").evaluate_all("all => all.map((one) => one.ariaLabel)")
    assert labels == ["The best list on its ground", "Bloom and picking of the best list"]


def test_what_is_wrong_with_a_place_is_told_at_the_place(page: Any) -> None:
    page.fill("#latitude", "0")
    page.fill("#longitude", "-30")
    page.click(".ask")
    page.wait_for_selector(".fault", timeout=LONG_MS)
    assert "No land is known" in page.text_content(".fault")
    assert page.evaluate("document.activeElement.id") == "latitude"


def test_a_general_checker_finds_nothing(page: Any) -> None:
    assert violations(page) == []
    page.check("input[value=ground]")
    page.click(".ask")
    answered(page)
    for one in page.locator("summary").all():
        one.click()
    assert violations(page) == []


def test_the_checker_finds_what_is_put_in_for_it(page: Any) -> None:
    page.evaluate("document.querySelector('label[for=trees]').remove()")
    page.evaluate("document.querySelector('h1').style.color = '#ddd'")
    found = " ".join(violations(page))
    assert "label (critical)" in found
    assert "color-contrast" in found


def test_it_fits_a_phone(phone: Any) -> None:
    phone.click(".ask")
    answered(phone)
    wide = phone.evaluate("document.documentElement.scrollWidth")
    assert wide <= 360, "nothing makes the page itself wider than the screen"
    small = phone.evaluate(
        """() => [...document.querySelectorAll('#orchard button, #orchard input, #orchard select')]
          .filter((one) => one.offsetParent).map((one) => one.getBoundingClientRect().height)
          .filter((height) => height < 21)"""
    )
    assert small == []
    assert violations(phone) == []


def test_the_contract_as_a_page_can_be_read_by_all(browser: Any, service: str) -> None:
    context = browser.new_context(bypass_csp=True)  # the checker is a script, which the page's policy forbids
    made = context.new_page()
    made.goto(f"{service}/docs")
    assert violations(made) == []
    context.close()


def test_the_file_asks_nobody_else() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert text.count("http") == text.count("http://127.0.0.1:8000") + text.count("http-equiv")
    assert "src=" not in text
    assert "<link" not in text
