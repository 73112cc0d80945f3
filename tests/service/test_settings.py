import re
from dataclasses import fields
from pathlib import Path

import pytest

from noonhold_service.settings import PREFIX, Settings, SettingsError, from_environment


def test_without_variables_the_defaults_hold() -> None:
    assert from_environment({"PATH": "/bin"}) == Settings()
    assert Settings().host == "127.0.0.1"


def test_every_kind_of_setting_is_read() -> None:
    settings = from_environment(
        {
            "NOONHOLD_HOST": "::1",
            "NOONHOLD_PORT": "0",
            "NOONHOLD_WAIT_S": "0.5",
            "NOONHOLD_ALLOW_OUTSIDE": "yes",
            "NOONHOLD_WEATHER_FOLDER": "/data/weather",
            "NOONHOLD_ALLOWED_ORIGINS": "https://a.example, https://b.example",
        }
    )
    assert (settings.host, settings.port, settings.wait_s) == ("::1", 0, 0.5)
    assert settings.allow_outside
    assert settings.weather_folder == Path("/data/weather")
    assert settings.allowed_origins == ("https://a.example", "https://b.example")


@pytest.mark.parametrize(
    ("variable", "text", "said"),
    [
        ("NOONHOLD_PORT", "eighty", "whole number"),
        ("NOONHOLD_PORT", "70000", "0 to 65535"),
        ("NOONHOLD_WAIT_S", "nan", "is not in"),
        ("NOONHOLD_ALLOW_OUTSIDE", "perhaps", "yes or no"),
        ("NOONHOLD_MAX_DAY", "3", "no such setting"),
        ("NOONHOLD_HOST", "192.0.2.1", "ALLOW_OUTSIDE"),
        ("NOONHOLD_HOST", "::", "ALLOW_OUTSIDE"),
        ("NOONHOLD_HOST", "example.org", "no numeric address"),
        ("NOONHOLD_KEY_HASHES", "sesame", "SHA-256"),
    ],
)
def test_a_setting_that_cannot_be_used_is_named(variable: str, text: str, said: str) -> None:
    with pytest.raises(SettingsError, match=said) as caught:
        from_environment({variable: text})
    assert variable in str(caught.value)


def test_the_outside_must_be_asked_for() -> None:
    assert Settings(host="0.0.0.0", allow_outside=True).host == "0.0.0.0"  # noqa: S104 - asked for


def test_the_table_names_every_setting_and_its_default(checkout: Path) -> None:
    text = (checkout / "service" / "README.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `(NOONHOLD_\w+)` \| ([^|]*) \|", text, re.MULTILINE))
    assert list(rows) == [PREFIX + each.name.upper() for each in fields(Settings)]
    words = {"True": "yes", "False": "no", "()": "none"}
    for each in fields(Settings):
        value = getattr(Settings(), each.name)
        shown = f"`{value.name}`" if isinstance(value, Path) else words.get(str(value), str(value))
        cell = rows[PREFIX + each.name.upper()]
        assert shown in cell if isinstance(value, Path) else shown == cell
