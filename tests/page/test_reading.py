"""Who reads it: on paper, on a telephone, in the dark, without seeing."""

import base64
import io
from pathlib import Path

import pytest
from pypdf import PageObject, PdfReader

from tests.page.conftest import Page
from tests.page.test_answer import BUSY

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
PAPER = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}
WEEK = "#day=week&shade=all&panel=hours&driving=off&covers=all&inside=number&inside_c=35"

ON_THE_SHEET = (
    "What was asked",
    "Flatbed cabin",
    "The answer",
    "Battery lowest",
    "Temperatures",
    "What would change",
    "defaults used",
    "Harrow Cabins",
    "For M. Doe",
    "of 365 days need cooling",
    "Heat in a closed vehicle can kill",
    "licensed installer",
    "a projection, not a measurement",
)


def sizes(sheet: PageObject) -> list[float]:
    """Return the sizes of the type on a page of a PDF. [pt]"""
    found: list[float] = []

    def visit(text: str, matrix: list[float], of_text: list[float], _: object, size: float) -> None:
        if text.strip():
            found.append(abs(size * of_text[3] * matrix[3]))

    sheet.extract_text(visitor_text=visit)
    return found


@pytest.mark.parametrize("fragment", [BUSY, WEEK])
def test_the_sheet_is_one_page(page: Page, fragment: str) -> None:
    page.emulate(dark=True)
    page.open(fragment)
    page.wait(lambda: page.browser.all("#changes tbody tr"))
    page.run(
        """
        window.print = () => {};
        for (const [name, value] of [['name', 'Harrow Cabins'], ['customer', 'M. Doe']]) {
          const field = document.getElementById(`builder-${name}`);
          field.value = value;
          field.dispatchEvent(new Event('input'));
        }
        document.getElementById('take-print').click();
        """
    )
    page.wait(lambda: "of 365 days" in page.text("#sheet"))
    page.wait(lambda: page.run("return document.documentElement.dataset.sheet === 'ready'"))
    for name, (width, height) in PAPER.items():
        options = {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": False}
        printed = page.driver.execute_cdp_cmd("Page.printToPDF", options)
        sheets = PdfReader(io.BytesIO(base64.b64decode(printed["data"]))).pages
        assert len(sheets) == 1, name
        text = " ".join(sheets[0].extract_text().split())
        for part in ON_THE_SHEET:
            assert part in text, f"{name}: {part}"
        # The last of the defaults that are listed: nothing is cut.
        last = page.run("return document.querySelector('#sheet ul:last-child').textContent.trim()")
        assert text.endswith(" ".join(last.replace("\xa0", " ").split())[-20:]), text[-200:]
        assert min(sizes(sheets[0])) >= 8.0 - 0.05, name
        assert len(sheets[0].images) >= 1, "the chart is on the sheet"


@pytest.mark.parametrize("fragment", [BUSY, WEEK])
def test_nothing_is_wider_than_a_telephone(page: Page, fragment: str) -> None:
    page.emulate(width=360, height=740)
    page.open(fragment)
    page.wait(lambda: page.browser.all("#changes tbody tr"))
    page.run("document.querySelectorAll('details').forEach((each) => { each.open = true })")
    assert page.run("return document.documentElement.scrollWidth") <= 360
    assert page.run("return document.querySelector('#temperatures canvas').clientWidth") > 250
    # The verdict and its caution stay in sight together, wherever one reads.
    for place in ("shade", "charge-chart", "assumed"):
        page.run("document.getElementById(arguments[0]).scrollIntoView()", place)
        for part in ("stamp", "caution-short", "cautions-all"):
            top = page.run(
                "return document.getElementById(arguments[0]).getBoundingClientRect().top", part
            )
            assert 0 <= top < 370, (place, part)


def test_the_dark_is_dark_and_its_charts_are_drawn_for_it(page: Page) -> None:
    def brightness() -> tuple[float, float]:
        ground = page.run("return getComputedStyle(document.documentElement).backgroundColor")
        ink = page.run(
            """
            const canvas = document.querySelector('#temperatures canvas');
            const dots = canvas.getContext('2d').getImageData(0, 0, 60, canvas.height).data;
            let sum = 0, weight = 0;
            for (let k = 0; k < dots.length; k += 4) {
              sum += dots[k + 3] * (dots[k] + dots[k + 1] + dots[k + 2]) / 3;
              weight += dots[k + 3];
            }
            return sum / weight;
            """
        )
        parts = [float(each) for each in ground.strip("rgb()").split(",")]
        return sum(parts) / 3, float(ink)

    page.open(BUSY)
    ground, ink = brightness()
    assert ground > 200
    assert ink < 120
    page.emulate(dark=True)
    page.open(BUSY)
    ground, ink = brightness()
    assert ground < 60
    assert ink > 120
    # The reader's own choice overrules the system's, and is remembered.
    page.run(
        "const f = document.getElementById('reading-colours'); f.value = 'light';"
        "f.dispatchEvent(new Event('change'))"
    )
    page.open(BUSY)
    assert brightness()[0] > 200


def test_controls_are_as_large_as_a_thumb(page: Page) -> None:
    page.open(BUSY)
    small = page.run(
        """
        return [...document.querySelectorAll('button, select, input, summary')]
          .filter((each) => each.checkVisibility() && !['radio', 'checkbox'].includes(each.type))
          .filter((each) => each.getBoundingClientRect().height < 44)
          .map((each) => each.id || each.outerHTML.slice(0, 60));
        """
    )
    assert small == []


@pytest.mark.parametrize(("fragment", "dark"), [(BUSY, False), (WEEK, True)])
def test_axe_finds_nothing_serious(page: Page, fragment: str, dark: bool) -> None:
    page.emulate(dark=dark)
    page.open(fragment)
    page.wait(lambda: page.browser.all("#changes tbody tr"))
    page.run("document.querySelectorAll('details').forEach((each) => { each.open = true })")
    page.put("set_point_c", "")  # a fault's colours are looked at, too
    page.run(AXE.read_text("utf-8"))
    found = page.driver.execute_async_script(
        "const done = arguments[0]; axe.run().then((r) => done(r.violations))"
    )
    told = [(each["impact"], each["id"], [n["target"] for n in each["nodes"]]) for each in found]
    assert [each for each in told if each[0] in ("serious", "critical")] == []


def test_axe_finds_nothing_serious_while_an_old_answer_stands(page: Page) -> None:
    page.open(BUSY)
    page.put("low_c", "60")
    page.wait(lambda: page.state() == "trouble")
    assert page.run("return document.getElementById('found').classList.contains('stale')")
    page.run(AXE.read_text("utf-8"))
    found = page.driver.execute_async_script(
        "const done = arguments[0]; axe.run().then((r) => done(r.violations))"
    )
    told = [(each["impact"], each["id"], [n["target"] for n in each["nodes"]]) for each in found]
    assert [each for each in told if each[0] in ("serious", "critical")] == []
    page.browser.complaints()
