"""The element that a website drops in."""

import re
from pathlib import Path

from tests.page.conftest import Page

DOCUMENT = Path(__file__).parents[2] / "docs" / "verdict_element.html"
SCRIPT = "noonhold-verdict.js"
TEXT = "return document.querySelector('noonhold-verdict').shadowRoot.textContent"
PUT = """
    const [address, inner, done] = arguments;
    document.body.replaceChildren();
    const script = document.createElement('script');
    script.src = `${address}/page/noonhold-verdict.js`;
    script.onload = () => {
      const element = document.createElement('noonhold-verdict');
      const question = document.createElement('script');
      question.type = 'application/json';
      question.textContent = inner;
      element.append(question);
      element.addEventListener('verdict', () => done('verdict'));
      element.addEventListener('trouble', () => done('trouble'));
      document.body.append(element);
    };
    document.head.append(script);
"""


def question() -> str:
    found = re.search(
        r'<script type="application/json">(.+?)</script>', DOCUMENT.read_text("utf-8"), re.DOTALL
    )
    assert found is not None
    return found[1]


def test_it_shows_the_verdict_with_its_caution(page: Page) -> None:
    page.browser.open(f"{page.address}/page/mark.svg")
    page.browser.open(f"{page.address}/page/")
    assert page.driver.execute_async_script(PUT, page.address, question()) == "verdict"
    said = page.run(TEXT)
    assert re.match(r"[●◐▲] (Holds|Holds narrowly|Fails)", said)
    assert "Heat in a closed vehicle can kill" in said
    assert "Day after day" in said
    assert "27 °C" in said.replace("\xa0", " ")
    page.run("document.querySelector('noonhold-verdict').setAttribute('degrees', 'F')")
    said = page.run(TEXT)
    assert "80.6 °F" in said
    assert "°C" not in said


def test_a_fault_is_said_and_not_hidden(page: Page) -> None:
    page.browser.open(f"{page.address}/page/")
    wrong = question().replace('"limit": 27', '"limit": 270')
    assert page.driver.execute_async_script(PUT, page.address, wrong) == "trouble"
    assert page.run(TEXT).startswith("No verdict")
    page.browser.complaints()


def test_every_attribute_is_documented(page: Page) -> None:
    page.browser.open(f"{page.address}/page/")
    assert page.driver.execute_async_script(PUT, page.address, question()) == "verdict"
    names = page.run("return customElements.get('noonhold-verdict').observedAttributes")
    text = DOCUMENT.read_text("utf-8")
    assert [each for each in names if f"<th>{each}</th>" not in text] == []
