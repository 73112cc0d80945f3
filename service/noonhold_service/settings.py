"""Everything an operator may set, read once from the environment, typed and frozen."""

from __future__ import annotations

import ipaddress
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, Final

from limits import parse
from platformdirs import user_cache_path

from noonhold import samples

PREFIX: Final = "NOONHOLD_"


@dataclass(frozen=True)
class Settings:
    """What an operator may set; ``NOONHOLD_`` and the name in capitals sets it.

    Parameters
    ----------
    host : str
        Address to listen on.
    port : int
        Port to listen on; 0 for any that is free.
    allow_outside : bool
        Allow an address other than loopback.
    threads : int
        Threads of the embedded server, or of each of gunicorn's workers.
    weather_folder : pathlib.Path
        The operator's typical-year files.
    rigs_folder : pathlib.Path
        Rig documents that requests may name.
    max_connections : int
        Connections that one process keeps open at a time.
    read_s : float
        How long a request may take to arrive whole. [s]
    keep_alive_s : int
        How long a connection without a request is kept open. [s]
    max_body_bytes : int
        Longest request body, and longest content of a compressed one. [bytes]
    max_days : int
        Longest projection. [d]
    max_spin_up_days : int
        Longest settling before it. [d]
    max_rows : int
        Most rows of own columns.
    max_sizing_days : int
        Longest stretch of a sizing. [d]
    max_run_days : int
        Most days that the runs of one comparison, bounds or plan may have in all. [d]
    max_variants : int
        Most variants of a comparison.
    max_samples : int
        Most samples, and most rows of indices, of bounds.
    max_sizes : int
        Most sizes that a sizing may choose from.
    max_log_rows : int
        Most rows of a field log.
    max_plans : int
        Most plans that a plan's search may try after the fixed schedules.
    max_survey_rows : int
        Most rows (rigs times stations) of a survey.
    survey_s : float
        How long a whole survey may take. [s]
    max_token : int
        Longest question that an address may carry. [characters]
    max_depth : int
        Deepest nesting of a request body.
    max_keys : int
        Most keys of one object of a request body.
    concurrent : int
        Short computations at a time in one process.
    concurrent_long : int
        Long computations at a time in one process, beside the short ones.
    wait_s : float
        How long a request waits for its turn before it is sent away. [s]
    compute_s : float
        How long one computation may take before it is ended. [s]
    weather_files_kept : int
        Parsed weather files kept in memory, about 0.6 MB each.
    cache_folder : pathlib.Path
        Where headers and parsed columns of weather files are kept between starts.
    pvgis : bool
        Fetch the typical year of a place far from every station from PVGIS.
    pvgis_url : str
        Address of PVGIS's interface.
    pvgis_timeout_s : float
        How long one of two tries may wait for it. [s]
    allowed_origins : tuple of str
        Web origins that browsers may call from; ``*`` for all, empty for none.
    frame_ancestors : tuple of str
        Websites that may put a card into a frame, as a content security policy names them.
    quota : tuple of str
        Requests that a key, or an address where there are no keys, may send in a time, such as
        ``60/minute``, counted in each process; empty for no quota.
    key_hashes : tuple of str
        SHA-256 of the bearer keys that are admitted, in hexadecimal; empty admits everyone.
    """

    host: str = "127.0.0.1"
    port: int = 8080
    allow_outside: bool = False
    threads: int = 8
    weather_folder: Path = field(default_factory=samples.weather_folder)
    rigs_folder: Path = field(default_factory=samples.rigs_folder)
    max_connections: int = 1_000
    read_s: float = 10.0
    keep_alive_s: int = 30
    max_body_bytes: int = 2_000_000
    max_days: int = 31
    max_spin_up_days: int = 14
    max_rows: int = 8_928
    max_sizing_days: int = 366
    max_run_days: int = 40_000
    max_variants: int = 40
    max_samples: int = 1_024
    max_sizes: int = 1_000
    max_log_rows: int = 20_000
    max_plans: int = 5_000
    max_survey_rows: int = 500
    survey_s: float = 120.0
    max_token: int = 6_000
    max_depth: int = 32
    max_keys: int = 500
    concurrent: int = 2
    concurrent_long: int = 1
    wait_s: float = 2.0
    compute_s: float = 30.0
    weather_files_kept: int = 64
    cache_folder: Path = field(default_factory=lambda: user_cache_path("noonhold") / "weather")
    pvgis: bool = False
    pvgis_url: str = "https://re.jrc.ec.europa.eu/api/v5_3/"
    pvgis_timeout_s: float = 10.0
    allowed_origins: tuple[str, ...] = ()
    frame_ancestors: tuple[str, ...] = ()
    quota: tuple[str, ...] = ()
    key_hashes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what cannot work, and an open door that was not asked for."""
        faults = [
            f"{PREFIX}{name.upper()}: {getattr(self, name)} is not in {low} to {high}"
            for name, (low, high) in _BOUNDS.items()
            if not low <= getattr(self, name) <= high
        ]
        faults += [
            f"{PREFIX}KEY_HASHES: {text[:12]!r}... is no SHA-256 in hexadecimal"
            for text in self.key_hashes
            if len(text) != 64 or not set(text) <= set("0123456789abcdef")
        ]
        for text in self.quota:
            try:
                parse(text)
            except ValueError as error:
                faults.append(f"{PREFIX}QUOTA: {text!r}: {error}")
        faults += [
            f"{PREFIX}FRAME_ANCESTORS: {text!r} is no origin, and neither 'self' nor *"
            for text in self.frame_ancestors
            if not re.fullmatch(r"\*|'self'|https?://[A-Za-z0-9.*:\[\]-]+", text)
        ]
        if not re.fullmatch(r"https?://[^\s?#]+/", self.pvgis_url):
            faults.append(f"{PREFIX}PVGIS_URL: {self.pvgis_url!r} is no http address ending in /")
        if not _is_address(self.host):
            faults.append(f"{PREFIX}HOST: {self.host!r} is no numeric address and not localhost")
        elif not self.allow_outside and not is_loopback(self.host):
            faults.append(
                f"{PREFIX}HOST: {self.host} can be reached from outside this machine;"
                f" set {PREFIX}ALLOW_OUTSIDE=yes if that is meant"
            )
        if faults:
            raise SettingsError("\n".join(faults))


class SettingsError(ValueError):
    """One or more settings that cannot be used; one a line."""


def is_loopback(host: str) -> bool:
    """Tell whether an address is reached from this machine alone.

    Parameters
    ----------
    host : str
        A numeric address or ``localhost``.
    """
    return host == "localhost" or ipaddress.ip_address(host).is_loopback


def _is_address(host: str) -> bool:
    try:
        return host == "localhost" or bool(ipaddress.ip_address(host))
    except ValueError:
        return False


def from_environment(environment: Mapping[str, str] = os.environ) -> Settings:
    """Read the settings.

    Parameters
    ----------
    environment : mapping of str to str
        ``NOONHOLD_...`` variables; one of no known name is a fault, lest a slip go unseen.

    Raises
    ------
    SettingsError
        Naming every variable that cannot be used.
    """
    known = {PREFIX + each.name.upper(): each for each in fields(Settings)}
    values: dict[str, Any] = {}
    faults = []
    for variable, text in environment.items():
        if not variable.startswith(PREFIX):
            continue
        if variable not in known:
            faults.append(f"{variable}: there is no such setting")
            continue
        setting = known[variable]
        try:
            values[setting.name] = _READERS[str(setting.type)](text)
        except ValueError as error:
            faults.append(f"{variable}: {text!r} is no {_WORDS[str(setting.type)]} ({error})")
    if faults:
        raise SettingsError("\n".join(faults))
    return Settings(**values)


def _flag(text: str) -> bool:
    words = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}
    try:
        return words[text.strip().lower()]
    except KeyError:
        raise ValueError("yes or no") from None


def _texts(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


_READERS: Final[dict[str, Callable[[str], Any]]] = {
    "str": str,
    "int": int,
    "float": float,
    "bool": _flag,
    "Path": Path,
    "tuple[str, ...]": _texts,
}
_WORDS: Final = {
    "str": "text",
    "int": "whole number",
    "float": "number",
    "bool": "answer",
    "Path": "path",
    "tuple[str, ...]": "list",
}
_BOUNDS: Final[dict[str, tuple[float, float]]] = {
    "port": (0, 65_535),
    "threads": (1, 256),
    "max_connections": (10, 100_000),
    "read_s": (0.1, 600),
    "keep_alive_s": (1, 3600),
    "max_body_bytes": (1_000, 100_000_000),
    "max_days": (1, 366),
    "max_spin_up_days": (0, 60),
    "max_rows": (24, 105_408),
    "max_sizing_days": (1, 366),
    "max_run_days": (10, 10_000_000),
    "max_variants": (1, 100),
    "max_samples": (16, 4_096),
    "max_sizes": (2, 1_000),
    "max_log_rows": (12, 100_000),
    "max_plans": (0, 20_000),
    "max_survey_rows": (1, 100_000),
    "survey_s": (0.1, 36_000),
    "max_token": (0, 100_000),
    "max_depth": (12, 100),
    "max_keys": (50, 100_000),
    "concurrent": (1, 256),
    "concurrent_long": (1, 256),
    "wait_s": (0, 600),
    "compute_s": (0.001, 3600),
    "pvgis_timeout_s": (0.01, 120),
    "weather_files_kept": (1, 100_000),
}
