"""The rigs that requests may name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from noonhold.documents import Assumption, Loaded, load_rig
from noonhold.envelope.shell import u_value
from noonhold.errors import DocumentError, Fault
from noonhold.rig import Rig
from noonhold_service.strict_json import NotJsonError, parse

_IDENTIFIER: Final = re.compile(r"[a-z0-9][a-z0-9_-]{0,63}")
_MOST_DEPTH: Final = 32


@dataclass(frozen=True)
class RigRecord:
    """A rig under a name.

    Parameters
    ----------
    rig_id : str
        Its file's name without the suffix.
    document : dict
        As the file has it.
    rig : Rig
        As it was read.
    assumptions : tuple of Assumption
        With pointers from ``/rig`` on.
    """

    rig_id: str
    document: dict[str, Any]
    rig: Rig
    assumptions: tuple[Assumption, ...]

    def loaded(self) -> Loaded[Rig]:
        """Return the rig as a request's document reads it."""
        return Loaded(self.rig, self.assumptions)


def read_rigs(folder: Path) -> Mapping[str, RigRecord]:
    """Read a folder of rig documents.

    Parameters
    ----------
    folder : pathlib.Path
        Its ``*.json`` files; the name of each is the rig's identifier.

    Returns
    -------
    mapping of str to RigRecord
        By identifier, in its order.

    Raises
    ------
    DocumentError
        With every fault of every file; the service does not start with a rig it cannot read.
    """
    records: dict[str, RigRecord] = {}
    faults: list[Fault] = []
    for path in sorted(folder.glob("*.json")):
        try:
            if not _IDENTIFIER.fullmatch(path.stem):
                raise DocumentError.single("", "the name is no identifier", path.stem, "a-z 0-9 _-")
            document = parse(path.read_bytes(), _MOST_DEPTH)
            loaded = load_rig(document, root=("rig",))
        except DocumentError as error:
            faults += [_in_file(path, fault) for fault in error.faults]
        except NotJsonError as error:
            faults.append(_in_file(path, error.fault))
        else:
            records[path.stem] = RigRecord(path.stem, document, loaded.value, loaded.assumptions)
    if faults:
        raise DocumentError(faults)
    return records


def _in_file(path: Path, fault: Fault) -> Fault:
    return Fault(f"{path.name}: {fault.path}", fault.message, fault.value, fault.bound, fault.hint)


def conductances(rig: Rig) -> list[dict[str, Any]]:
    """Return what each panel and window passes on at steady state.

    Returns
    -------
    list of dict
        ``name``, ``kind``, ``area_m2``, ``u_value_w_m2k`` (panels with the surface resistances of
        ISO 6946), ``ua_w_k``.
    """
    rows = [("panel", p.name, p.area_m2, u_value(p)) for p in rig.shell.panels]
    rows += [("window", w.name, w.area_m2, w.u_value_w_m2k) for w in rig.shell.windows]
    return [
        {
            "name": name,
            "kind": kind,
            "area_m2": round(area, 6),
            "u_value_w_m2k": round(value, 6),
            "ua_w_k": round(area * value, 6),
        }
        for kind, name, area, value in rows
    ]
