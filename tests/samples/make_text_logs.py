"""Write the small text, JSON and Parquet samples again: one short sweep, each time in other clothes."""

from __future__ import annotations

import json
import math
from pathlib import Path

HERE = Path(__file__).parent
Row = tuple[float, float, float, float, float]
NAMES = ("Time", "Speed", "Torque", "Baro", "Inlet air")


def rows() -> list[Row]:
    """Forty samples at 10 Hz: time [s], speed [rpm], torque [N m], barometer [hPa], inlet air [deg C]."""
    return [
        (
            round(0.1 * at, 1),
            round(2000 + 60 * at + math.sin(1.7 * at), 1),
            round(210 + 20 * math.sin(at / 12), 2),
            round(1002.4 + 0.05 * math.sin(at), 2),
            round(21.5 + 0.02 * at, 2),
        )
        for at in range(40)
    ]


def text(delimiter: str, units: tuple[str, ...], decimal: str = ".") -> str:
    """Names, units and rows as delimited text."""
    lines = [delimiter.join(NAMES), delimiter.join(units)]
    lines += [delimiter.join(f"{cell:g}" for cell in row).replace(".", decimal) for row in rows()]
    return "\n".join(lines) + "\n"


def write_all(folder: Path = HERE) -> None:
    """Write every sample.

    Args:
        folder: where they go.
    """
    units = ("s", "1/min", "N m", "hPa", "°C")
    bracketed = ",".join(f"{name} [{unit}]" for name, unit in zip(NAMES, units, strict=True))
    body = "\n".join(",".join(f"{cell:g}" for cell in row) for row in rows())
    (folder / "sweep_plain.csv").write_text(f"{bracketed}\n{body}\n", "utf-8")
    german = "Prüfstand 2\nDatum: 2031-05-06\n\n" + text(";", units, ",")
    (folder / "sweep_decimal_comma_latin1.csv").write_bytes(german.encode("latin-1"))
    (folder / "sweep_utf16_tabs.txt").write_bytes(("\ufeff" + text("\t", units)).encode("utf-16-le"))
    half = body.split("\n")
    messy = [bracketed.replace(",", "|"), *(line.replace(",", "|") for line in half[:20])]
    messy += ["", messy[0], *(line.replace(",", "|") for line in half[20:]), "", "End of log"]
    (folder / "sweep_header_twice.log").write_text("\r\n".join(messy) + "\r\n", "utf-8")
    clock = [f"10:15:{2 + row[0]:04.1f},{row[1]:g},{row[2]:g}" for row in rows()]
    start = "# Date: 2031-05-06\n# Baro: 29.62 inHg\n# Air temp: 68 degF\n# RH: 56 %\n# time,rpm,torque_lbft\n"
    (folder / "sweep_time_of_day.dat").write_text(start + "\n".join(clock) + "\n", "utf-8")
    names = [f"{name} [{unit}]" for name, unit in zip(NAMES, units, strict=True)]
    lines = [json.dumps(dict(zip(names, row, strict=True)), ensure_ascii=False) for row in rows()]
    (folder / "sweep.jsonl").write_text("\n".join(lines) + "\n", "utf-8")
    import polars as pl

    pl.DataFrame(rows(), schema=names, orient="row").write_parquet(folder / "sweep.parquet")


if __name__ == "__main__":
    write_all()
