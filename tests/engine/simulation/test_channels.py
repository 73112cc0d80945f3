"""The record's columns by number and by name are one list."""

from noonhold.simulation import channels as ch


def test_every_number_has_its_name() -> None:
    numbers = {
        name.lower(): value
        for name, value in vars(ch).items()
        if name.isupper() and isinstance(value, int)
    }
    assert tuple(sorted(numbers, key=numbers.__getitem__)) == ch.CHANNELS
    assert sorted(numbers.values()) == list(range(len(ch.CHANNELS)))
