"""What the invented engines do, as knots along rpm: the truth from which the logs are made.

Nothing of this module is written into the log folder, and no room but this one may import it. Torque knots are
corrected lb-ft, unrounded inside the rounding of the day sheet's tables.
"""

from __future__ import annotations

Knots = tuple[tuple[float, float], ...]

TORQUE: dict[str, Knots] = {
    "anvil-log": (
        (1300, 183.5),
        (1600, 195.7), (2000, 209.7), (2400, 220.6), (2800, 225.8), (3200, 223.6), (3600, 217.6), (4000, 204.8),
        (4200, 197.0), (4400, 189.3), (4600, 180.0), (4800, 169.9),
    ),
    "anvil-header": (
        (1300, 184.8),
        (1600, 198.7), (2000, 214.7), (2400, 226.6), (2800, 231.9), (3000, 233.1), (3200, 232.6), (3600, 226.7),
        (4000, 214.8), (4200, 207.0), (4400, 198.9), (4600, 188.9), (4800, 178.8),
    ),
    "anvil-cam-b": (
        (1300, 171.5),
        (1600, 187.7), (2000, 206.6), (2400, 221.6), (2800, 232.6), (3200, 235.9), (3600, 235.7), (4000, 228.8),
        (4200, 223.9), (4400, 218.0), (4600, 210.4), (4800, 201.7), (5000, 192.8), (5200, 181.8), (5300, 174.3),
        (5400, 165.5), (5600, 146.0),
    ),
    "wren-plain": (
        (2000, 95), (2400, 101), (2800, 107), (3200, 111), (3600, 114), (4000, 117), (4400, 119), (4800, 119),
        (5200, 117), (5600, 112), (6000, 105.3), (6400, 96),
    ),
    # The last knots are set so that power still climbs where the test ended.
    "wren-centrifugal": (
        (2000, 99), (2400, 107), (2800, 115), (3200, 124), (3600, 131), (4000, 137), (4400, 143), (4800, 148.6),
        (5200, 149.2), (5600, 146.9), (5800, 144.8), (6000, 142.25), (6200, 138.1), (6400, 134.4),
    ),
    "wren-screw": (
        (2000, 115), (2400, 124), (2800, 132), (3200, 138), (3600, 143), (4000, 146), (4400, 148), (4800, 147.7),
        (5200, 145), (5600, 139), (6000, 130.4), (6400, 119),
    ),
}  # fmt: skip

BOOST_PSI: dict[str, Knots] = {
    "wren-centrifugal": (
        (2000, 1.0), (2400, 1.4), (2800, 1.9), (3200, 2.5), (3600, 3.1), (4000, 3.8), (4400, 4.6), (4800, 5.5),
        (5200, 6.5), (5600, 7.5), (6000, 8.4), (6400, 9.4),
    ),
    "wren-screw": (
        (2000, 5.6), (2400, 6.2), (2800, 6.5), (3200, 6.6), (3600, 6.6), (4000, 6.6), (4400, 6.6), (4800, 6.5),
        (5200, 6.5), (5600, 6.3), (6000, 6.2), (6400, 6.0),
    ),
}  # fmt: skip

# Air burnt per observed power, lb/(hp h).
AIR_PER_POWER: dict[str, Knots] = {
    "anvil": (
        (1600, 5.78), (2000, 5.72), (2400, 5.69), (2800, 5.69), (3200, 5.72), (3600, 5.79), (4000, 5.92), (4400, 6.08),
        (4800, 6.35), (5200, 6.62), (5600, 6.95),
    ),
    "wren-plain": ((2000, 5.60), (3200, 5.58), (4400, 5.65), (5200, 5.82), (6000, 6.08), (6400, 6.25)),
    "wren-centrifugal": ((2000, 5.72), (3200, 5.76), (4400, 5.92), (5200, 6.12), (6000, 6.38), (6400, 6.55)),
    "wren-screw": ((2000, 5.98), (2800, 5.98), (3600, 6.01), (4400, 6.09), (5200, 6.27), (6000, 6.54), (6400, 6.72)),
}  # fmt: skip

LAMBDA: dict[str, Knots] = {
    "anvil": ((1600, 0.872), (2400, 0.879), (2800, 0.880), (3600, 0.872), (4400, 0.867), (4800, 0.864), (5600, 0.858)),
    "wren-plain": ((2000, 0.884), (4400, 0.880), (5600, 0.872), (6400, 0.864)),
    "wren-centrifugal": ((2000, 0.860), (3600, 0.840), (5200, 0.816), (6000, 0.805), (6400, 0.801)),
    "wren-screw": ((2000, 0.818), (3600, 0.809), (5200, 0.803), (6400, 0.798)),
}

# Exhaust gas as the couples read it, degF, mean of the cylinders; then each cylinder's habit.
EXHAUST_DEGF: dict[str, Knots] = {
    "anvil": ((1500, 1120), (2800, 1240), (4000, 1318), (4400, 1338), (4800, 1354), (5600, 1378)),
    "wren": ((1900, 1190), (3600, 1345), (5200, 1460), (6400, 1525)),
}
CYLINDERS_DEGF: dict[str, tuple[float, ...]] = {"anvil": (18, -7, 6, -23, 4, 6), "wren": (-9, 7, 12, -10)}

SPARK_DEG: dict[str, Knots] = {
    "anvil": ((1500, 25), (2400, 29), (3200, 31.5), (4000, 32), (5600, 32)),
    "wren-plain": ((1900, 22), (3200, 26), (4800, 29), (6400, 30)),
    "wren-centrifugal": ((1900, 21), (3200, 23.5), (4800, 23), (6400, 20)),
    "wren-screw": ((1900, 16), (3200, 18.5), (4800, 21), (6400, 22)),
}

# Friction with the throttle shut, lb-ft: at standstill and per rpm.
FRICTION_LBFT: dict[str, tuple[float, float]] = {"anvil": (18.0, 0.0075), "wren": (8.0, 0.0045)}

DISPLACEMENT_IN3 = {"anvil": 219.4, "wren": 102.3}
STOICHIOMETRIC = 14.6
BLOWER_RATIO = {"wren-centrifugal": 6.45, "wren-screw": 1.92}
BLOWER_EFFICIENCY = {"wren-centrifugal": 0.66, "wren-screw": 0.58}
BACK_PRESSURE_PSI = {"log": 3.1, "header": 1.3, "cam": 1.3, "plain": 1.5, "centrifugal": 1.5, "screw": 1.5}


def table_of(tables: dict[str, Knots], build: str) -> Knots:
    """The knots of a build, or of its engine where all builds share them.

    Args:
        tables: build or engine -> knots.
        build: e.g. "anvil-header".

    Returns:
        The knots.
    """
    return tables.get(build) or tables[build.split("-")[0]]
