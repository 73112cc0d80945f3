"""The page in Firefox: an answer, a change by keyboard's events, a rig of one's own, the year."""

from tests.firefox import Firefox
from tests.firefox import firefox as firefox

ANSWERS = "Number(document.documentElement.dataset.answers ?? 0)"


def test_the_page_answers_in_firefox(firefox: Firefox, address: str) -> None:
    firefox.open(f"{address}/page/#day=typical&month=1&rig=flatbed_cabin")
    firefox.wait(f"{ANSWERS} > 0")
    assert firefox.run("document.getElementById('stamp').textContent.length") > 5
    assert firefox.run("document.querySelectorAll('.drawing canvas').length") == 3
    before = firefox.run(ANSWERS)
    firefox.run(
        "(() => { const f = document.getElementById('rig'); f.value = 'own:new';"
        " f.dispatchEvent(new Event('input', {bubbles: true})); })()"
    )
    firefox.wait(f"{ANSWERS} > {before} && document.querySelector('#rig-fields input') !== null")
    assert "2.60" in firefox.run("document.getElementById('rig-drawing').textContent")
    firefox.run("(() => { document.getElementById('year-part').open = true; })()")
    firefox.wait("document.querySelectorAll('#year button').length === 365")
    assert firefox.run("document.documentElement.dataset.state") == "answered"
