"""Sixteen invented engines, unlike on purpose. None of them is in the demo."""

from __future__ import annotations

from dataclasses import dataclass

PSI = 6894.757  # [Pa]
GATED = ("injection", "turbo")
HELD = ("injection", "turbo-held")
BELT = ("injection", "belt")
BLOWN = ("carburettor", "belt")


@dataclass(frozen=True, slots=True)
class Machine:
    """What the generators know of an engine.

    Attributes:
        name: nickname.
        cylinders, bore, stroke, ratio: the block [-, m, m, -].
        turn: speed about which the volumetric efficiency falls off [rpm]; peak power is near it.
        full: best volumetric efficiency on manifold density.
        where: speed of that best, as a share of ``turn``.
        width: how fast it falls above, as a share of ``turn``.
        fuel: "carburettor" or "injection".
        induction: "natural", "belt", "turbo", "turbo-held".
        blower: "" or "centrifugal", "positive", "turbo".
        boost: gauge pressure at ``turn`` [Pa].
        cooler: effectiveness of the charge cooler, 0 for none.
        ratio_blower: blower speed over crank speed.
        water: liquid-cooled.
        oil_gauge: oil pressure is logged and keeps to the rule of 10 psi per 1,000 rpm.
        inertia: rotating inertia [kg m2].
        stoich: of its fuel.
    """

    name: str
    cylinders: int
    bore: float
    stroke: float
    ratio: float
    turn: float
    full: float
    where: float = 0.68
    width: float = 0.80
    fuel: str = "carburettor"
    induction: str = "natural"
    blower: str = ""
    boost: float = 0.0
    cooler: float = 0.0
    ratio_blower: float = 1.0
    water: bool = True
    oil_gauge: bool = True
    inertia: float = 0.2
    stoich: float = 14.6

    @property
    def swept(self) -> float:
        """Displacement [m3]."""
        return self.cylinders * 0.25 * 3.141592653589793 * self.bore**2 * self.stroke

    @property
    def boosted(self) -> bool:
        """Has a compressor."""
        return bool(self.blower)

    @property
    def rich(self) -> float:
        """Where its mixture is set, lambda."""
        if not self.boosted:
            return 0.87
        return 0.79 if self.blower == "turbo" else 0.81


MACHINES: tuple[Machine, ...] = (
    Machine("alder", 6, 0.0902, 0.1000, 8.8, 4300.0, 0.86, 0.62, inertia=0.25),
    Machine("birch", 8, 0.1016, 0.0884, 10.4, 6100.0, 0.95, 0.72, inertia=0.22),
    Machine("cedar", 8, 0.1080, 0.0955, 9.8, 5500.0, 0.92, 0.68, inertia=0.28),
    Machine("dogwood", 4, 0.0950, 0.0950, 7.2, 3900.0, 0.76, 0.60, inertia=0.3),
    Machine("elm", 4, 0.0790, 0.0815, 10.2, 6300.0, 0.98, 0.70, fuel="injection", stoich=14.1),
    Machine("fir", 4, 0.0860, 0.0860, 11.8, 7700.0, 1.06, 0.76, fuel="injection", inertia=0.14),
    Machine("gorse", 3, 0.0720, 0.0818, 9.5, 5200.0, 0.92, 0.62, 0.85, *GATED, "turbo", 11.0 * PSI, 0.65),
    Machine("hazel", 4, 0.0880, 0.0945, 9.0, 5600.0, 0.93, 0.62, 0.85, *HELD, "turbo", 15.0 * PSI, 0.7),
    Machine("ivy", 6, 0.0890, 0.0800, 9.3, 6100.0, 0.97, 0.70, 0.62, *BELT, "centrifugal", 8.0 * PSI, 0.6, 7.2),
    Machine("juniper", 8, 0.1016, 0.0762, 9.0, 5700.0, 0.90, 0.70, 0.60, *BLOWN, "centrifugal", 6.5 * PSI, 0.0, 6.1),
    Machine("larch", 8, 0.1032, 0.0926, 9.1, 5400.0, 0.90, 0.66, 0.76, *BELT, "positive", 7.5 * PSI, 0.8, 2.1),
    Machine("maple", 4, 0.0765, 0.0756, 8.9, 6000.0, 0.95, 0.68, 0.78, *BELT, "positive", 9.0 * PSI, 0.0, 2.3),
    Machine("nettle", 1, 0.0760, 0.0550, 13.0, 13300.0, 1.05, 0.76, fuel="injection", oil_gauge=False, inertia=0.02),
    Machine("oak", 1, 0.0950, 0.0635, 11.5, 9900.0, 1.00, 0.74, oil_gauge=False, inertia=0.03),
    Machine("pine", 2, 0.0760, 0.0720, 9.2, 6200.0, 0.88, 0.70, water=False, inertia=0.05),
    Machine("rowan", 2, 0.0900, 0.0860, 10.8, 7400.0, 1.02, 0.72, fuel="injection", inertia=0.08),
)

BY_NAME = {machine.name: machine for machine in MACHINES}
