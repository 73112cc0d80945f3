"""A result as one NetCDF file under CF-1.11, whole or cut down to a baseline."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import xarray as xr

from noonhold_batch.whole_file import write_whole

_AXES = ("rig", "site", "day")
_NONE = np.int32(-(2**31))  # of packed variables
_NAMES = {"rig": "rig_id", "site": "site_id"}


def write_netcdf(
    result: xr.Dataset,
    out: Path,
    variables: Sequence[str] | None = None,
    steps: Mapping[str, float] | None = None,
) -> None:
    """Write a result as NetCDF-4.

    Parameters
    ----------
    result : xarray.Dataset
        From `noonhold_batch.results.result.open_result`.
    out : pathlib.Path
        The file, written aside and renamed.
    variables : sequence of str, optional
        Only these and their coordinates; all by default.
    steps : mapping of str to float, optional
        Variables that are kept as whole multiples of a step, which takes far less space.

    Notes
    -----
    A CF coordinate variable is a number, so the names of rigs and sites go under ``rig_id`` and
    ``site_id``; `noonhold_batch.results.result.open_result` gives them back their places.
    """
    found = result if variables is None else result[list(variables)]
    found = found.load()
    texts = {
        name: (values.dims, np.array([str(text) for text in values.to_numpy().flat], dtype=object))
        for name, values in found.variables.items()
        if values.dtype.kind in "OTU"
    }
    reshaped = {
        str(name): (dims, flat.reshape([found.sizes[dim] for dim in dims]))
        for name, (dims, flat) in texts.items()
    }
    axes = {_NAMES[name]: reshaped.pop(name) for name in _NAMES}
    found = found.drop_vars(list(_NAMES)).assign(reshaped).assign_coords(axes)
    for name in (*reshaped, *axes):
        old = next((key for key, value in _NAMES.items() if value == name), name)
        found[name].attrs = dict(result[old].attrs)
    encoding: dict[str, dict[str, object]] = {}
    for key, variable in found.variables.items():
        name = str(key)
        variable.encoding.clear()
        if variable.dtype.kind == "f":
            fill = None if variable.dims == ("site",) else np.array(np.nan, variable.dtype)
            encoding[name] = {"zlib": True, "shuffle": True, "_FillValue": fill}
            if steps is not None and name in steps:
                packed = {"dtype": "int32", "scale_factor": steps[name], "_FillValue": _NONE}
                encoding[name] |= packed
        elif variable.dtype.kind in "iu":
            encoding[name] = {"zlib": True, "shuffle": True}
            if "flag_values" in variable.attrs:
                values = np.array(variable.attrs["flag_values"], dtype=variable.dtype)
                variable.attrs["flag_values"] = values
    encoding["day"] = {"dtype": "int32", "units": "days since 2001-01-01", "calendar": "standard"}
    # In memory first: HDF5 ends the process where a disk is full.
    write_whole(out, bytes(found.to_netcdf(None, engine="h5netcdf", encoding=encoding)))
