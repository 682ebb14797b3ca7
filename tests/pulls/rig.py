"""An invented engine on an invented brake: recordings whose truth is known, for the tests of this room."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from fairpull.terms.arrays import FloatArray
from fairpull.terms.recording import Conditions, Origin, Recording

ORIGIN = Origin(path="made.csv", sha256="0" * 64, format="made", reason="made by the test")
RAD = np.pi / 30.0


def truth(rpm: FloatArray) -> FloatArray:
    """Full-load torque [N m]: one broad peak and a tuned bump."""
    return np.asarray(300.0 - 60.0 * ((rpm - 3800.0) / 2500.0) ** 2 + 4.0 * np.sin(rpm / 350.0))


@dataclass
class Rig:
    """Writes a recording piece by piece; every piece appends rows."""

    rate: float = 200.0
    noise: float = 2.0
    ripple: float = 0.0
    hunting: float = 0.0
    inertia: float = 0.0
    seed: int = 1
    scale: float = 1.0
    rpm: list[FloatArray] = field(default_factory=list)
    throttle: list[FloatArray] = field(default_factory=list)
    load: list[FloatArray] = field(default_factory=list)

    def add(self, seconds: float, start: float, end: float, throttle: float, load: float = 1.0) -> Rig:
        """Rows of steady change of speed at one throttle; ``load`` scales the full-load torque."""
        n = round(seconds * self.rate)
        self.rpm.append(start + (end - start) * np.arange(n) / n)
        self.throttle.append(np.full(n, throttle))
        self.load.append(np.full(n, load))
        return self

    def idle(self, seconds: float = 3.0) -> Rig:
        return self.add(seconds, 900.0, 900.0, 0.02, 0.03)

    def pull(self, low: float = 2000.0, high: float = 6000.0, rate: float = 250.0, throttle: float = 1.0) -> Rig:
        """Hold for two seconds, ramp, close the throttle, coast down."""
        self.add(2.0, low, low, throttle)
        self.add(abs(high - low) / rate, low, high, throttle)
        return self.add(4.0, high, 900.0, 0.01, -0.1)

    def recording(self, *, throttle: bool = True, name: str = "made", **extra: FloatArray) -> Recording:
        """The recording: noise, ripple and hunting laid over, inertia torque taken off."""
        rng = np.random.default_rng(self.seed)
        base = np.concatenate(self.rpm)
        n = base.size
        time = np.arange(n) / self.rate
        rpm = base + self.hunting * np.sin(2 * np.pi * 1.4 * time)
        hidden = self.inertia * np.gradient(rpm) * self.rate * RAD
        torque = self.scale * truth(rpm) * np.concatenate(self.load) - hidden
        torque = torque + self.ripple * np.sin(2 * np.pi * 37.0 * time) + self.noise * rng.standard_normal(n)
        channels = {"time": time, "rpm": rpm + 2.0 * rng.standard_normal(n), "torque": torque}
        if throttle:
            channels["throttle"] = np.concatenate(self.throttle)
        channels.update({key: np.broadcast_to(value, n).copy() for key, value in extra.items()})
        return Recording(name=name, origin=ORIGIN, channels=channels, started_at=1.7e9)


def table(rpm: FloatArray, torque: FloatArray, given: Conditions | None = None) -> Recording:
    """A table of speed and torque without a clock."""
    return Recording(
        name="table",
        origin=ORIGIN,
        channels={"rpm": rpm, "torque": torque},
        kind="table",
        given=given or Conditions(),
    )
