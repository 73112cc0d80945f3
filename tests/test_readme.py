import json
import re
from pathlib import Path

from PIL import Image

AGAIN = "redraw the README's pictures: python docs/draw.py"


def pictures(checkout: Path) -> dict[str, str]:
    """Return the pictures of the README with the texts for those who cannot see them."""
    found = re.findall(r"!\[(.*?)\]\((.*?)\)", (checkout / "README.md").read_text())
    return {name: text for text, name in found}


def title(path: Path) -> str:
    with Image.open(path) as image:
        return str(image.info["Title"])


def test_the_pictures_are_there_small_and_told_in_words(checkout: Path) -> None:
    shown = pictures(checkout)
    assert set(shown) == {"docs/day.png", "docs/region.png"}
    for name, text in shown.items():
        assert (checkout / name).stat().st_size < 150_000
        assert len(text.split()) > 30


def test_the_picture_of_the_day_says_what_the_committed_answer_says(checkout: Path) -> None:
    answer = checkout / "openapi" / "examples" / "typical_day.response.json"
    sentence = json.loads(answer.read_text())["summary"]["sentence"].replace("degC", "°C")
    assert sentence.split() == title(checkout / "docs/day.png").split(": ", 1)[1].split(), AGAIN


def test_the_map_is_of_the_rig_and_region_of_the_readme(checkout: Path) -> None:
    rig = json.loads((checkout / "sample_rigs/flatbed_cabin.json").read_text())["name"]
    stations = len(list((checkout / "sample_weather").glob("*.epw.gz")))
    said = title(checkout / "docs/region.png")
    assert f"{rig}, 3 days: holds on every date at" in said, AGAIN
    assert f"of {stations} stations" in said, AGAIN
