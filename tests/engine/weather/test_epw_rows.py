"""The compiled reader of regular rows: the general reader's figures to the bit, or none at all."""

import io
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from noonhold.weather import epw
from noonhold.weather.epw_rows import regular_rows
from noonhold.weather.file_source import read_bytes

PLACES = [0, 2]
PLAIN = st.builds(
    lambda whole, decimals, minus: f"{'-' if minus else ''}{whole}{decimals}",
    st.integers(0, 10**9),
    st.from_regex(r"(\.[0-9]{1,6})?", fullmatch=True),
    st.booleans(),
).filter(lambda text: float(text) != 0.0 or text[0] != "-")


@given(st.lists(st.tuples(st.integers(0, 9999), PLAIN), min_size=1, max_size=5), st.booleans())
def test_plain_rows_are_read_as_by_pandas(rows: list[tuple[int, str]], ends: bool) -> None:
    text = "\n".join(f"{first},?9?9A7 *,{second},x" for first, second in rows)
    content = (text + ("\n" if ends else "")).encode()
    read = regular_rows(content, 0, 4, PLACES, 1)
    known = pd.read_csv(io.BytesIO(content), header=None, usecols=PLACES).to_numpy(dtype=float)
    assert read is not None
    assert np.array_equal(read.T, known)


@pytest.mark.parametrize(
    "row",
    [
        "1,a,", "1,a, 2", "1,a,2,", "1,a", "1.0,a,2", ",a,2", "1,a,+2", "1,a,2e1", "1,a,.5",
        "1,a,5.", "1,a,1.2.3", "1,a,-", "1,a,-0.0", "1,a,nan", "1,a,0x1", '1,"a",2',
        "1,a,1234567890.123456", "", "1,a,2\n\n", "1,a,2\n1,a",
    ],
)  # fmt: skip
def test_anything_else_is_left_to_the_general_reader(row: str) -> None:
    assert regular_rows(row.encode(), 0, 3, PLACES, 1) is None


def test_a_file_gives_the_same_figures_either_way(
    monkeypatch: pytest.MonkeyPatch, checkout: Path
) -> None:
    for path in sorted((checkout / "sample_weather").glob("*.epw.gz"))[:4]:
        quick = epw._figures(path, read_bytes(path))
        with monkeypatch.context() as patch:
            patch.setattr(epw, "regular_rows", lambda *_: None)
            general = epw._figures(path, read_bytes(path))
        for name, values in quick.items():
            assert np.array_equal(values, general[name]), name
