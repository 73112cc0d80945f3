"""Make the sample weather: 24 typical years of a region that does not exist.

Run ``python sample_weather/make.py --out DIR``. The recipe is ``region.toml`` beside this file,
the weather itself is invented in ``synthesis.py``, and the README says what the columns mean.
Needs only numpy, pandas and pvlib.
"""

import argparse
import gzip
import io
import math
from pathlib import Path

import numpy as np
import pandas as pd
from synthesis import DAYS, HOURS, MID_MONTH, Array, Station, read_stations, weather


def ground_temperature(temp_air: Array, depth_m: float) -> Array:
    """Monthly ground temperature [degC] at a depth, after Kusuda and Achenbach (1965)."""
    diffusivity = 0.055  # m2/day, a common moist soil, from memory
    daily = temp_air.reshape(DAYS, 24).mean(axis=1)
    turn = 2.0 * np.pi * (np.arange(DAYS) + 0.5) / DAYS
    wave = 2.0 * np.mean(daily * np.exp(-1j * turn))
    damping = depth_m * math.sqrt(math.pi / (DAYS * diffusivity))
    phase = 2.0 * np.pi * MID_MONTH / DAYS - damping
    wave_at_depth = math.exp(-damping) * (wave * np.exp(1j * phase)).real
    return np.asarray(daily.mean() + wave_at_depth)


def week_text(year: int, first_day: int) -> str:
    """First and last day of a week as EPW headers write them."""
    days = [
        pd.Timestamp(year=year, month=1, day=1) + pd.Timedelta(days=first_day + i) for i in (0, 6)
    ]
    return ",".join(f"{d.month:2d}/{d.day:2d}" for d in days)


def header(station: Station, data: pd.DataFrame) -> list[str]:
    """Write the eight header lines of the file."""
    temp_air = data["temp_air"].to_numpy(dtype=float)
    weekly = np.convolve(temp_air.reshape(DAYS, 24).mean(axis=1), np.full(7, 1 / 7), "valid")
    hot, cold = (week_text(station.year, int(i)) for i in (weekly.argmax(), weekly.argmin()))
    ground = ",".join(
        f"{depth:g},,,," + ",".join(f"{t:.2f}" for t in ground_temperature(temp_air, depth))
        for depth in (0.5, 2.0, 4.0)
    )
    first = pd.Timestamp(year=station.year, month=1, day=1)
    return [
        f"LOCATION,{station.name.capitalize()},{station.climate['label']},XZZ,INVENTED,"
        f"{999000 + station.number},{station.latitude:.2f},{station.longitude:.2f},"
        f"{station.utc_offset_h:.1f},{station.elevation_m:.1f}",
        "DESIGN CONDITIONS,0",
        f"TYPICAL/EXTREME PERIODS,2,Summer - Week of Highest Mean Temperature,Extreme,{hot},"
        f"Winter - Week of Lowest Mean Temperature,Extreme,{cold}",
        f"GROUND TEMPERATURES,3,{ground}",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,Invented data of no real place: the coordinates are open ocean in the "
        "southern hemisphere",
        "COMMENTS 2,Made by sample_weather/make.py from a seed; not a measurement and not fit "
        "for any design",
        f"DATA PERIODS,1,1,Data,{first.day_name()}, 1/ 1,12/31",
    ]


def epw_text(station: Station) -> str:
    """Write the whole file as text. What is not modelled carries EPW's code for missing."""
    data = weather(station)
    when = pd.date_range(f"{station.year}-01-01", periods=HOURS, freq="h")
    flags = "?9?9?9?9E0?9?9?9?9?9?9?9?9?9?9?9?9?9?9?9*9*9?9?9?9"
    lines = header(station, data)
    for t, row in zip(when, data.itertuples(index=False), strict=True):
        (ta, td, rh, p, etr, etrn, ir, ghi, dni, dhi, wd, ws, total, opaque) = row
        lines.append(
            f"{t.year},{t.month},{t.day},{t.hour + 1},0,{flags},"
            f"{ta:.1f},{td:.1f},{rh:.0f},{p:.0f},{etr:.0f},{etrn:.0f},{ir:.0f},"
            f"{ghi:.0f},{dni:.0f},{dhi:.0f},999999,999999,999999,9999,"
            f"{wd:.0f},{ws:.1f},{total:.0f},{opaque:.0f},"
            "9999,99999,9,999999999,999,.999,999,99,999,999,99"
        )
    return "\n".join(lines) + "\n"


def epw_gzip(station: Station) -> bytes:
    """Compress the file: no time and no name in the gzip header, so that they never change."""
    buffer = io.BytesIO()
    with gzip.GzipFile(filename="", mode="wb", compresslevel=9, fileobj=buffer, mtime=0) as file:
        file.write(epw_text(station).encode("ascii"))
    return buffer.getvalue()


def main() -> None:
    """Write every station's file, or the named ones."""
    parser = argparse.ArgumentParser(description="Make the invented sample weather.")
    parser.add_argument("--out", type=Path, required=True, help="directory to write into")
    parser.add_argument("--station", action="append", help="make only this station (repeatable)")
    options = parser.parse_args()
    stations = read_stations()
    unknown = set(options.station or ()) - {s.name for s in stations}
    if unknown:
        parser.error(f"no such station: {', '.join(sorted(unknown))}")
    options.out.mkdir(parents=True, exist_ok=True)
    for station in stations:
        if not options.station or station.name in options.station:
            (options.out / station.file_name).write_bytes(epw_gzip(station))


if __name__ == "__main__":
    main()
