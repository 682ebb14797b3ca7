"""The two invented days, pull by pull, as the shop's day sheet had them. Everything here is made up.

Values stand in the trade units in which the day sheet was kept; ``machine`` turns them into SI.
"""

from __future__ import annotations

from dataclasses import dataclass

DAYS = {1: (2026, 5, 23), 2: (2026, 5, 24)}  # invented dates
SHOP = "Larchyard engine shop"
ELEVATION = "400 ft"
INERTIA_KG_M2 = 0.20
RAMP_RPM_PER_S = 250.0
ANVIL_BAND = (1800.0, 4600.0, 200.0)
WREN_BAND = (2400.0, 5600.0, 400.0)


@dataclass(frozen=True, slots=True)
class Run:
    """One pull of the day sheet.

    Attributes:
        number: pull number, 1 to 20.
        day: 1 or 2.
        clock: wall clock at the pull, "HH:MM".
        shelf: folder that the file lies in.
        label: words in the file's name.
        build: key of ``curves.TORQUE``.
        layout: which of the shop's loggers wrote it, key of ``day.WRITERS``.
        barometer: station pressure [inHg].
        inlet: inlet air [degF].
        humidity: relative humidity [%].
        average: corrected torque averaged over the engine's band [lb-ft]; None where nobody worked it out.
        last_rpm: where the sweep ended.
        event: key of ``events.EVENTS``; "" where nothing happened.
    """

    number: int
    day: int
    clock: str
    shelf: str
    label: str
    build: str
    layout: str
    barometer: float
    inlet: float
    humidity: float
    average: float | None
    last_rpm: float
    event: str = ""

    @property
    def engine(self) -> str:
        """The nickname of the engine on the brake: "anvil" or "wren"."""
        return self.build.split("-")[0]

    @property
    def band(self) -> tuple[float, float, float]:
        """First, last and step [rpm] of the points that the day sheet averaged."""
        return ANVIL_BAND if self.engine == "anvil" else WREN_BAND

    @property
    def stem(self) -> str:
        """The file's name without its ending."""
        return f"{self.number:02d}-{self.clock.replace(':', '')}-{self.label}"


RUNS: tuple[Run, ...] = (
    Run(1, 1, "09:10", "anvil-shakedown", "log", "anvil-log", "wide", 29.62, 66, 58, None, 4000),
    Run(2, 1, "09:40", "anvil-log", "log-baseline", "anvil-log", "tabbed", 29.62, 68, 56, 211.7, 4800),
    Run(3, 1, "09:55", "anvil-log", "log-repeat", "anvil-log", "semicolon", 29.61, 69, 55, 211.3, 4800),
    Run(4, 1, "10:10", "anvil-log", "log-repeat", "anvil-log", "columns", 29.61, 69, 55, 211.7, 4800),
    Run(5, 1, "10:40", "anvil-tuning", "spark-plus-3", "anvil-log", "lines", 29.60, 71, 53, 211.6, 4800, "spark"),
    Run(6, 1, "11:05", "anvil-tuning", "jets-plus-2", "anvil-log", "comma", 29.60, 72, 51, 210.0, 4800, "jets"),
    Run(7, 1, "12:50", "anvil-header", "tube-header", "anvil-header", "semicolon", 29.57, 75, 47, 219.2, 4800),
    Run(8, 1, "13:05", "anvil-header", "header-repeat", "anvil-header", "columns", 29.57, 76, 46, 218.5, 4800),
    Run(9, 1, "13:25", "void", "header-third", "anvil-header", "comma", 29.56, 77, 46, 215.6, 4600, "starved"),
    Run(10, 1, "14:20", "anvil-header", "header-filter-new", "anvil-header", "comma", 29.55, 78, 45, 219.0, 4800),
    Run(11, 1, "14:28", "void", "header-rerun", "anvil-header", "semicolon", 29.55, 97, 25, 213.5, 4800, "soaked"),
    Run(12, 1, "16:10", "anvil-log", "log-closing", "anvil-log", "wide", 29.51, 80, 43, 210.6, 4800),
    Run(13, 2, "09:20", "void", "cam-b-first", "anvil-cam-b", "semicolon", 29.22, 61, 82, 209.0, 5000, "cylinder"),
    Run(14, 2, "10:15", "anvil-cam-b", "cam-b-lead-new", "anvil-cam-b", "columns", 29.20, 62, 81, 223.8, 5000),
    Run(15, 2, "10:35", "anvil-cam-b", "cam-b-to-5600", "anvil-cam-b", "tabbed", 29.20, 63, 80, 223.3, 5600, "float"),
    Run(16, 2, "11:05", "void", "cam-b-repeat", "anvil-cam-b", "semicolon", 29.19, 64, 79, 227.5, 5000, "zero"),
    Run(17, 2, "13:40", "wren-plain", "no-blower", "wren-plain", "columns", 29.15, 66, 76, 113.0, 6400),
    Run(18, 2, "13:55", "wren-plain", "no-blower-repeat", "wren-plain", "comma", 29.15, 66, 76, 113.0, 6400),
    Run(19, 2, "15:20", "wren-centrifugal", "blower-c", "wren-centrifugal", "semicolon", 29.13, 67, 75, 133.6, 6400,
        "climbing"),
    Run(20, 2, "17:05", "wren-screw", "blower-d", "wren-screw", "tabbed", 29.12, 67, 74, 140.3, 6400),
)  # fmt: skip
