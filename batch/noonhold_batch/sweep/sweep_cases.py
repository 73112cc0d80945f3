"""What a sweep runs at every site: rigs, their variants, and one scenario for all."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from noonhold.documents import Loaded, load_rig, load_scenario
from noonhold.documents.merge_patch import merge_patch
from noonhold.errors import DocumentError, Fault
from noonhold.rig import Rig
from noonhold.scenario import Scenario
from noonhold.weather.weather_table import Site
from noonhold_batch.batch_errors import BatchError

T = TypeVar("T")

DEFAULT_SCENARIO = Path(__file__).with_name("default_scenario.json")
_PARTS = ("operation", "comfort", "start", "place")
_BY_SITE = ("latitude", "longitude", "elevation_m")
_ASSUMED_CHARGES = (
    "charge on arrival = 1.0: a stay begins with a full battery where no state_of_charge is stated",
    "charge before the spin-up days = 1.0: a settled charge is carried through them from a full"
    " battery",
)
_NOWHERE = {"latitude": 0.0, "longitude": 0.0, "elevation_m": 0.0}


@dataclass(frozen=True)
class Case:
    """One rig or variant and what is done with it, at any site.

    Parameters
    ----------
    name : str
        File name of the rig without its suffix, ``+`` and that of the variant where there is one.
    scenario : Scenario
        Its place has no coordinates yet; see `at_site`.
    document : dict
        The JSON it was read from: ``rig``, ``operation``, ``comfort``, ``start``, ``place``.
    assumptions : tuple of str
        What the documents left out and what was taken instead.
    """

    name: str
    rig: Rig
    scenario: Scenario
    document: dict[str, Any]
    assumptions: tuple[str, ...]

    @property
    def charge_on_arrival(self) -> float:
        """Return the state of charge with which a stay begins: as stated, else full."""
        stated = self.scenario.start.state_of_charge
        return 1.0 if stated is None else stated

    @property
    def fingerprint(self) -> str:
        """Return the hash of the document, blind to its layout."""
        return fingerprint(self.document)

    def at_site(self, site: Site) -> Scenario:
        """Return the scenario standing at a site.

        Parameters
        ----------
        site : Site
            Its coordinates and elevation become the place's.

        Returns
        -------
        Scenario
            On the site's standard time.
        """
        place = replace(
            self.scenario.place,
            latitude=site.latitude,
            longitude=site.longitude,
            elevation_m=site.elevation_m,
        )
        return replace(self.scenario, place=place)


def fingerprint(document: object) -> str:
    """Return the SHA-256 of a JSON value, blind to spaces and the order of members.

    Parameters
    ----------
    document : object
        JSON value.

    Returns
    -------
    str
        Hexadecimal.
    """
    text = json.dumps(document, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def read_json(path: Path) -> Any:
    """Return the JSON value of a file.

    Parameters
    ----------
    path : pathlib.Path
        UTF-8.

    Returns
    -------
    object
        The value.

    Raises
    ------
    BatchError
        Where there is no such file or it is no JSON.
    """
    try:
        return json.loads(path.read_text(encoding="utf-8"), parse_constant=_refuse_constant)
    except OSError as exc:
        raise BatchError.single(str(path), f"cannot be read: {exc.strerror}") from exc
    except ValueError as exc:
        raise BatchError.single(str(path), f"is not JSON: {exc}") from exc


def _refuse_constant(text: str) -> float:
    raise ValueError(f"{text} is not a JSON number")


def load_cases(rigs: Sequence[Path], scenario: Path, variants: Sequence[Path]) -> tuple[Case, ...]:
    """Return the cases of a sweep: every rig as it is, then with every variant.

    Parameters
    ----------
    rigs : sequence of pathlib.Path
        Rig documents.
    scenario : pathlib.Path
        JSON of ``operation``, ``comfort``, ``start`` and, where wanted, ``place`` without
        coordinates.
    variants : sequence of pathlib.Path
        Merge patches (RFC 7396) on ``{rig, operation, comfort, start, place}``.

    Returns
    -------
    tuple of Case
        In the order given, names unlike.

    Raises
    ------
    BatchError
        With every fault of every document, file name first.
    """
    common = _scenario_document(scenario)
    patches: dict[str, Any] = {"": {}}
    faults: list[Fault] = []
    for path in variants:
        patch = read_json(path)
        if not isinstance(patch, dict) or set(patch) - {"rig", *_PARTS}:
            faults.append(Fault(str(path), f"a variant has rig and {', '.join(_PARTS)} only"))
            continue
        patches[f"+{path.stem}"] = patch
    cases: dict[str, Case] = {}
    for path in rigs:
        document = {"rig": read_json(path), **common}
        for suffix, patch in patches.items():
            name = path.stem + suffix
            if name in cases:
                faults.append(Fault(str(path), f"two rigs are named {name!r}; rename a file"))
                continue
            try:
                cases[name] = _case(name, merge_patch(document, patch))
            except DocumentError as exc:
                faults += [replace(fault, path=f"{name}: {fault.path}") for fault in exc.faults]
    measures = {case.scenario.comfort.measure for case in cases.values()}
    if len(measures) > 1:
        faults.append(Fault("comfort/measure", "must be the same for all variants of a sweep"))
    if faults:
        raise BatchError(faults)
    return tuple(cases.values())


def _scenario_document(path: Path) -> dict[str, Any]:
    """Return the document of a scenario, with its unknown parts refused."""
    document = read_json(path)
    if not isinstance(document, Mapping):
        raise BatchError.single(str(path), f"must be an object of {', '.join(_PARTS)}")
    unknown = [Fault(f"{path}: /{key}", "is unknown") for key in document if key not in _PARTS]
    missing = [Fault(f"{path}: /{key}", "is missing") for key in _PARTS[:-1] if key not in document]
    if unknown or missing:
        raise BatchError(unknown + missing)
    return {"place": {}, **document}


def _case(name: str, document: dict[str, Any]) -> Case:
    """Read one case, every fault of it at once."""
    faults: list[Fault] = []
    place = document.get("place", {})
    if not isinstance(place, Mapping):
        faults.append(Fault("/place", "must be an object", place))
        place = {}
    for key in (*_BY_SITE, "timezone"):
        if key in place:
            why = "comes from each weather file; days go by its standard time"
            faults.append(Fault(f"/place/{key}", why))
    free = {key: value for key, value in place.items() if key not in (*_BY_SITE, "timezone")}
    parts = {part: document[part] for part in _PARTS if part in document}
    rig = _collected(lambda: load_rig(document.get("rig"), ("rig",)), faults)
    # A faulty rig has no names to check the scenario against; its own faults still show.
    known = None if rig is None else rig.value
    parts["place"] = {**_NOWHERE, **free}
    scenario = _collected(lambda: load_scenario(parts, known), faults)
    if rig is None or scenario is None or faults:
        raise DocumentError(faults)
    assumptions = tuple(
        f"{each.path} = {json.dumps(each.value, default=str)}: {each.reason}"
        for each in (*rig.assumptions, *scenario.assumptions)
    )
    if scenario.value.start.state_of_charge is None:
        assumptions += _ASSUMED_CHARGES
    return Case(name, rig.value, scenario.value, document, assumptions)


def _collected(load: Callable[[], Loaded[T]], faults: list[Fault]) -> Loaded[T] | None:
    """Return what was loaded, or None and its faults added to the others."""
    try:
        return load()
    except DocumentError as exc:
        faults += exc.faults
        return None
