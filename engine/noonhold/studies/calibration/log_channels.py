"""What a log and a run have in common: channels compared, row by row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.ndimage import maximum_filter1d, median_filter

from noonhold.simulation import channels as ch
from noonhold.studies.calibration.field_log import GRID_S, BoolArray, FloatArray, LogPiece
from noonhold.studies.calibration.log_runs import LogModel

IntArray = npt.NDArray[np.int64]

FITTED: Final = "fitted"
HELD_OUT: Final = "held_out"

_BLOCK_S: Final = 1800  # a thermostat switches several times an hour; the loop gives means
_HOUR: Final = 3600 // GRID_S + 1
_FULL: Final = 0.97
_SPILLED_W: Final = 1.0


@dataclass(frozen=True)
class Channel:
    """A column of the log that the time loop predicts.

    Parameters
    ----------
    name : str
        Column of the log.
    unit : str
        Of the errors given.
    record : int
        Column of the record.
    error, relative_error : float
        Assumed standard error of a row: of the unit, and of the value; both in quadrature.
    block_s : int
        Rows are compared as means over this long; 0 as they stand. [s]
    """

    name: str
    unit: str
    record: int
    error: float
    relative_error: float = 0.0
    block_s: int = 0


# Errors of common thermometers, shunts and battery monitors (common practice, no source).
CHANNELS: Final = (
    Channel("cabin_temperature_c", "K", ch.CABIN, 0.3),
    Channel("state_of_charge", "1", ch.STORED, 0.015),
    Channel("array_power_w", "W", ch.SOLAR, 2.0, 0.03),
    Channel("cooler_power_w", "W", ch.COOLER_POWER, 4.0, 0.03, _BLOCK_S),
)


@dataclass(frozen=True)
class ChannelRows:
    """The rows of one channel over all pieces of a log.

    Parameters
    ----------
    piece, last, span : numpy.ndarray of int, shape (k,)
        Piece, interval at whose end the row stands, and intervals it is the mean of (0 for a
        reading).
    logged : numpy.ndarray, shape (k,)
        What was written down.
    held_out : numpy.ndarray of bool, shape (k,)
        Rows that are predicted and not fitted.
    per_unit : float
        What the record's column is divided by.
    """

    channel: Channel
    piece: IntArray
    last: IntArray
    span: IntArray
    logged: FloatArray
    held_out: BoolArray
    per_unit: float

    def modelled(self, records: list[FloatArray]) -> FloatArray:
        """Return what a run says of the rows.

        Parameters
        ----------
        records : list of numpy.ndarray, shape (n, channels)
            A record a piece.

        Returns
        -------
        numpy.ndarray, shape (k,)
        """
        modelled = np.empty(len(self.last))
        for number, record in enumerate(records):
            here = self.piece == number
            values = record[:, self.channel.record] / self.per_unit
            last, span = self.last[here], self.span[here]
            total = np.concatenate([[0.0], np.cumsum(values)])
            width = np.maximum(span, 1)
            mean = (total[last + 1] - total[last + 1 - width]) / width
            modelled[here] = np.where(span == 0, values[last], mean)
        return modelled

    def differences(self, records: list[FloatArray], part: str) -> FloatArray:
        """Return modelled less logged over the rows of a part, in the order of time.

        Parameters
        ----------
        records : list of numpy.ndarray, shape (n, channels)
            A record a piece.
        part : str
            ``fitted`` or ``held_out``.
        """
        return (self.modelled(records) - self.logged)[self.of(part)]

    def assumed_errors(self, records: list[FloatArray], part: str) -> FloatArray:
        """Return the assumed standard errors of the rows of a part.

        Parameters
        ----------
        records : list of numpy.ndarray, shape (n, channels)
            A record a piece: errors go with what is modelled, for by what was read the rows
            that happen to be low would weigh more than those that happen to be high.
        part : str
            ``fitted`` or ``held_out``.
        """
        modelled = self.modelled(records)[self.of(part)]
        return np.hypot(self.channel.error, self.channel.relative_error * modelled)

    def active(self, records: list[FloatArray], part: str) -> BoolArray:
        """Return which rows of a part show an instrument's error.

        Parameters
        ----------
        records : list of numpy.ndarray, shape (n, channels)
            A record a piece.
        part : str
            ``fitted`` or ``held_out``.

        Returns
        -------
        numpy.ndarray of bool
            Not those of watts that are nought both in the log and in the run: by night and with
            the cooler off these agree whatever the instrument is worth.
        """
        if self.channel.relative_error == 0.0:
            return np.ones(int(self.of(part).sum()), dtype=bool)
        size = np.maximum(np.abs(self.modelled(records)), np.abs(self.logged))
        return size[self.of(part)] > self.channel.error

    def comparable(self, records: list[FloatArray], part: str) -> BoolArray:
        """Return which rows of a part can be compared with a run.

        Parameters
        ----------
        records : list of numpy.ndarray, shape (n, channels)
            A record a piece.
        part : str
            ``fitted`` or ``held_out``.

        Returns
        -------
        numpy.ndarray of bool
            Of an array's watts not those near a time at which the run curtails sunlight: how much
            a curtailed array gives then turns on a hair's breadth of charge or temperature.
        """
        if self.channel.record != ch.SOLAR:
            return np.ones(int(self.of(part).sum()), dtype=bool)
        free = np.empty(len(self.last), dtype=bool)
        for number, record in enumerate(records):
            here = self.piece == number
            held_back = maximum_filter1d(record[:, ch.CURTAILED], _HOUR) > _SPILLED_W
            free[here] = ~held_back[self.last[here]]
        return free[self.of(part)]

    def of(self, part: str) -> BoolArray:
        """Return which rows belong to a part."""
        return self.held_out if part == HELD_OUT else ~self.held_out


def channel_rows(
    model: LogModel, held_out_fraction: float, settling_h: float
) -> tuple[ChannelRows, ...]:
    """Return the channels that a log holds, with their rows.

    Parameters
    ----------
    model : LogModel
        The log's pieces and their skies.
    held_out_fraction : float
        Last part of all intervals, which is held out.
    settling_h : float
        First part of every piece, which is not compared. [h]

    Returns
    -------
    tuple of ChannelRows
        Only channels with rows.

    Notes
    -----
    An array's watts are left out where the sky was made to fit them, and a cooler's where the rig
    has none. While the battery is full or empty its monitor stands at the end of its scale and
    the array is curtailed: neither says anything then.
    """
    pieces = model.pieces
    total = sum(len(piece) for piece in pieces)
    boundary = round(total * (1.0 - held_out_fraction))
    settling = round(settling_h * 3600.0 / GRID_S)
    before = np.cumsum([0, *(len(piece) for piece in pieces)])
    ends = _at_the_end(model)
    found = []
    for channel in CHANNELS:
        parts: list[tuple[IntArray, IntArray, IntArray, FloatArray]] = []
        for number, piece in enumerate(pieces):
            if channel.name not in piece.rows or not _has(model, channel):
                continue
            last, span, logged = _rows_of(channel, piece)
            keep = last - np.maximum(span, 1) + 1 >= settling
            if channel.name == "array_power_w":
                keep &= ~model.skies[number].fitted[last]
            if channel.name in ("array_power_w", "state_of_charge"):
                keep &= ~ends[number][last]
            last, span, logged = last[keep], span[keep], logged[keep]
            parts.append((np.full(len(last), number, dtype=np.int64), last, span, logged))
        if not parts or not sum(len(part[1]) for part in parts):
            continue
        piece_of, last, span, logged = (
            np.concatenate(column) for column in zip(*parts, strict=True)
        )
        held_out = before[piece_of] + last >= boundary
        size = model.rig.battery.usable_energy_wh if channel.record == ch.STORED else 1.0
        found.append(ChannelRows(channel, piece_of, last, span, logged, held_out, size))
    return tuple(found)


def _has(model: LogModel, channel: Channel) -> bool:
    """Tell whether the rig has what a channel measures."""
    if channel.name == "cooler_power_w":
        return model.rig.cooler is not None
    return channel.name != "array_power_w" or bool(model.rig.arrays)


def _at_the_end(model: LogModel) -> list[BoolArray]:
    """Return in which intervals of each piece the battery is full or empty.

    By the hour's usual reading; where no charge was logged by the rig as it was described.
    """
    logged = [p.rows["state_of_charge"] for p in model.pieces if "state_of_charge" in p.rows]
    if len(logged) < len(model.pieces):
        size = model.rig.battery.usable_energy_wh
        logged = [record[:, ch.STORED] / size for record in model.run({})]
    found = []
    for charge in logged:
        known = np.flatnonzero(~np.isnan(charge))
        even = charge
        if len(known):
            even = np.interp(np.arange(len(charge)), known, charge[known])
        usual = median_filter(even, size=_HOUR, mode="nearest")
        found.append((usual > _FULL) | (usual < 1.0 - _FULL))
    return found


def _rows_of(channel: Channel, piece: LogPiece) -> tuple[IntArray, IntArray, FloatArray]:
    """Return ends, spans and values of a channel's rows in a piece."""
    values = piece.rows[channel.name]
    if channel.name not in piece.span:
        last = np.flatnonzero(~np.isnan(values))
        return last, np.zeros(len(last), dtype=np.int64), values[last]
    width = channel.block_s // GRID_S
    if width > 1:
        last = np.arange(width - 1, len(values), width)
        span = np.full(len(last), width, dtype=np.int64)
    else:
        last = np.flatnonzero(piece.span[channel.name] > 0)
        span = piece.span[channel.name][last]
    total = np.concatenate([[0.0], np.cumsum(np.nan_to_num(values))])
    unknown = np.concatenate([[0], np.cumsum(np.isnan(values))])
    mean = (total[last + 1] - total[last + 1 - span]) / span
    whole = unknown[last + 1] == unknown[last + 1 - span]
    return last[whole], span[whole], mean[whole]
