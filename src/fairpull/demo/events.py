"""What went wrong (or was turned) in a pull, as multipliers and shifts along rpm."""

from __future__ import annotations

from dataclasses import dataclass

from fairpull.demo.curves import Knots

ALWAYS_1: Knots = ((1000, 1.0), (7000, 1.0))
ALWAYS_0: Knots = ((1000, 0.0), (7000, 0.0))


@dataclass(frozen=True, slots=True)
class Event:
    """How a pull departs from a sound one of its build.

    Attributes:
        torque: multiplier of torque along rpm.
        air_share: part of the torque loss that the air flow shares: 0 when the air was there but did not burn well.
        mixture: lambda along rpm that replaces the build's, from flows; empty where it stays.
        mixture_shift: added to lambda.
        fuel_pressure: multiplier of the fuel pressure along rpm.
        lambda_sensor: what the sensors of the two banks read above the flows' lambda.
        spark: degrees added.
        exhaust: degF added to every cylinder, along rpm.
        cold_cylinder: cylinder number and degF that it lies below the rest; (0, 0) for none.
        oil, coolant: degF added.
        zero: lb-ft that the torque cell reads with nothing on it.
        fan: cell fan, fraction of its speed.
        roughness: multiplier of the torque's random part above 5,000 rpm.
        shape: multiplier of the pull's own smooth error.
    """

    torque: Knots = ALWAYS_1
    air_share: float = 1.0
    mixture: Knots = ()
    mixture_shift: float = 0.0
    fuel_pressure: Knots = ALWAYS_1
    lambda_sensor: tuple[float, float] = (0.0, 0.0)
    spark: float = 0.0
    exhaust: Knots = ALWAYS_0
    cold_cylinder: tuple[int, float] = (0, 0.0)
    oil: float = 0.0
    coolant: float = 0.0
    zero: float = 0.0
    fan: float = 1.0
    roughness: float = 1.0
    shape: float = 1.0


EVENTS: dict[str, Event] = {
    "": Event(),
    "spark": Event(spark=3.0, exhaust=((1000, -14.0), (7000, -14.0))),
    "jets": Event(mixture_shift=-0.034, exhaust=((1000, -22.0), (7000, -22.0))),
    "starved": Event(
        torque=((3600, 1.0), (4000, 214 / 215), (4200, 201 / 207), (4400, 185 / 199), (4600, 163 / 189), (4700, 0.80)),
        air_share=0.0,
        mixture=(
            (1600, 0.872), (2400, 0.879), (2800, 0.880), (3500, 0.873), (3600, 0.872), (4000, 0.896), (4200, 0.940),
            (4400, 1.000), (4600, 1.070), (4700, 1.12),
        ),
        fuel_pressure=((3000, 1.0), (3600, 0.94), (4000, 0.81), (4200, 0.70), (4400, 0.58), (4600, 0.468),
            (4700, 0.43)),
        exhaust=((3600, 0.0), (4000, 22.0), (4250, 58.0), (4450, 40.0), (4600, -35.0), (4700, -60.0)),
    ),
    "soaked": Event(
        torque=((1600, 0.971), (2400, 0.974), (3200, 0.974), (4000, 0.976), (4400, 0.977), (4600, 0.979),
            (4800, 0.971)),
        mixture_shift=-0.011,
        oil=33.0,
        coolant=9.0,
        exhaust=((1000, 10.0), (7000, 10.0)),
        fan=0.0,
    ),
    "cylinder": Event(
        torque=((1000, 0.9340), (7000, 0.9345)),
        air_share=0.0,
        lambda_sensor=(0.045, 0.075),
        cold_cylinder=(5, 328.0),
    ),
    "float": Event(
        torque=(
            (5050, 1.0), (5100, 0.990), (5200, 0.9627), (5300, 0.9240), (5350, 0.9350), (5400, 0.9490), (5450, 0.9470),
            (5500, 0.930), (5600, 0.8905), (5700, 0.86),
        ),
        air_share=0.85,
        roughness=2.5,
    ),
    "zero": Event(zero=3.9),
    # Power must still climb where the test ended, whatever the seed.
    "climbing": Event(shape=0.25),
}  # fmt: skip
