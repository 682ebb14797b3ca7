"""What a shop allows a pull to do before a sign is raised; every number may be set."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HealthLimits:
    """Limits of the detectors, SI. Defaults are the trade's (common practice) unless said otherwise.

    Attributes:
        throttle: least opening of a full-load pull, fraction.
        oil_window: oil temperature may lie this far from the references' [K]; 5 degF.
        coolant_window: coolant the same [K]; 5 degF.
        oil_low, oil_high: oil window of a single pull [K]; 180 to 240 degF.
        coolant_low, coolant_high: coolant window of a single pull [K]; 150 to 215 degF.
        brake_water: highest brake outlet temperature [K]; 145 degF.
        boost_tolerance: boost may lie this far from plan or references [Pa]; 0.2 psi.
        lambda_drift: lambda may leave its target or its references by this much.
        lambda_agreement: flow lambda over sensor lambda may leave 1 by this much, fraction.
        fuel_pressure_drop: share of fuel pressure that may be lost along a pull, injection.
        fuel_pressure_drop_carburettor: loss along a pull that a carburettor stands [Pa]; 0.5 psi.
        intake_depression: manifold pressure below barometer at full throttle, natural induction [Pa]; 1.5 inHg.
        exhaust_back_pressure: collector pressure above barometer that costs power [Pa]; 3 psi.
        cold_cylinder: a cylinder's exhaust this far below the middle of the others is off the pack [K]; 100 degF.
        torque_zero: zero shift of the brake that voids a pull [N m]; 0.5 lb-ft.
        scatter_torque: scatter of sound pulls from one to the next, fraction of torque; a good brake, 0.3 to 0.5 %.
        scatter_flow: the same of air and fuel flow, fraction.
        scatter_mixture: the same of lambda, fraction; sensors good to 0.01.
        scatter_pressure: the same of absolute pressures, fraction; 0.1 inHg of 30.
        scatter_temperature: the same of oil, coolant, inlet and charge temperatures [K]; 3 degF.
        scatter_exhaust_temperature: the same of exhaust temperatures [K]; 10 degF.
        false_alarm: how many scatters a level must stand off before it is more than chance.
    """

    throttle: float = 0.98
    oil_window: float = 2.8
    coolant_window: float = 2.8
    oil_low: float = 355.4
    oil_high: float = 388.7
    coolant_low: float = 338.7
    coolant_high: float = 374.8
    brake_water: float = 335.9
    boost_tolerance: float = 1379.0
    lambda_drift: float = 0.03
    lambda_agreement: float = 0.03
    fuel_pressure_drop: float = 0.05
    fuel_pressure_drop_carburettor: float = 3447.0
    intake_depression: float = 5080.0
    exhaust_back_pressure: float = 20684.0
    cold_cylinder: float = 55.6
    torque_zero: float = 0.678
    scatter_torque: float = 0.004
    scatter_flow: float = 0.006
    scatter_mixture: float = 0.008
    scatter_pressure: float = 0.003
    scatter_temperature: float = 1.7
    scatter_exhaust_temperature: float = 5.6
    false_alarm: float = 3.5


DEFAULTS = HealthLimits()
