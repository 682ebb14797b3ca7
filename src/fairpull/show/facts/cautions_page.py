"""The usual cautions of engine testing, in short plain sentences of our own, each with how far it is founded."""

from __future__ import annotations

from dataclasses import dataclass

PRACTICE = "common practice of the trade, no source"
MEMORY = "from memory, not read again: check before relying on it"


@dataclass(frozen=True, slots=True)
class Caution:
    """One danger: its name, what it does, what people do about it, and what it rests on."""

    key: str
    title: str
    danger: str
    habits: tuple[str, ...]
    source: str


ESTIMATES = (
    "Every number here is measured or computed, and an estimate. Computed limits, settings, forecasts and plans do not "
    "replace the part makers' limits, local codes and regulations, and the work of people licensed for it.",
    "A pull that went well says nothing of the next one. A measured gain says nothing of how long a part will last.",
    "This list is not complete, and following it does not make a test free of danger. Where it and the makers' papers "
    "or the law differ, they rule.",
)
"""What holds for everything that is shown."""

CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "carbon-monoxide",
        "Carbon monoxide",
        "It has no colour and no smell, and it kills. An engine at full load fills a closed room within minutes.",
        (
            "Exhaust leaves through a pipe or an extraction that is tried before the first start, never into the room.",
            "A carbon monoxide alarm hangs at breathing height, in the cell and in the control room.",
            "Headache, dizziness or a sick feeling: stop the engine, get everybody out, and call for help.",
        ),
        f"alarms and extraction: {PRACTICE}; that it kills within minutes indoors: public-health advice, {MEMORY}",
    ),
    Caution(
        "fuel-fire",
        "Fuel and fire",
        "Fuel under pressure beside a red-hot exhaust needs one loose fitting.",
        (
            "Every joint is looked at under pressure before the engine runs. No more fuel in the room than is needed.",
            "A fuel shut-off stands within reach outside the plane of the engine, and everybody knows where.",
            "Fire extinguishers for liquid fuel and for electric gear hang at the door, in date. The way out is clear.",
            "Spills are wiped up and rags go into a closed metal bin. Nobody smokes.",
        ),
        PRACTICE,
    ),
    Caution(
        "rotating-parts",
        "Burst rotating parts",
        "A flywheel, clutch, coupling, shaft, fan or blower that bursts leaves in the plane in which it turns.",
        (
            "Nobody stands in the plane of rotation, and no spectator stands in the room while the engine runs.",
            "Guards that can hold the pieces are on before the start. Shafts and couplings are rated for the torque.",
            "The rated speed of the weakest part is the limit of the pull, and somebody watches it.",
            "No loose clothes, long hair, gloves or rags near anything that turns.",
        ),
        PRACTICE,
    ),
    Caution(
        "burns",
        "Burns",
        "Exhaust, oil, brake water and metal stay hot long after the engine has stopped.",
        (
            "Hands keep off until it has cooled; sleeves and gloves are for when nothing turns.",
            "Hot oil is drained slowly, into something that can hold it.",
        ),
        PRACTICE,
    ),
    Caution(
        "coolant",
        "Hot coolant under pressure",
        "Coolant above its boiling point at open air turns to steam the moment a cap comes off.",
        (
            "No cap or hose is opened hot. Wait until the pressure is gone, and then open it slowly behind a cloth.",
            "Hoses are clamped and tied so that one which comes off does not reach anybody.",
        ),
        PRACTICE,
    ),
    Caution(
        "noise",
        "Noise and hearing",
        "Hearing that is lost does not come back. A loud cell does harm in a single day.",
        (
            "Everybody in the cell wears ear protection while the engine runs, muffs over plugs where it is open.",
            "The person at the brake and the one at the engine agree on signs before, since nobody hears a shout.",
        ),
        f"workplaces commonly act from 85 dB(A) over eight hours on (NIOSH criteria for noise, 1998), {MEMORY}",
    ),
    Caution(
        "electric",
        "Electricity",
        "Ignition, battery, pumps and the brake's own supply stand beside fuel and water.",
        (
            "Ignition leads are not touched while it turns. A battery is disconnected before work on the loom.",
            "Supplies near water have a residual-current breaker, fitted by somebody licensed to do so.",
        ),
        PRACTICE,
    ),
    Caution(
        "stop",
        "Emergency stop",
        "In the worst second nobody looks for a switch.",
        (
            "One stop cuts ignition and fuel; it is tried before the first pull of the day.",
            "A diesel, or an engine that draws its own oil or vapour, needs its air shut off too.",
            "Who may press it: anybody, without asking.",
        ),
        PRACTICE,
    ),
    Caution(
        "alone",
        "Working alone",
        "Somebody has to be there who can stop the engine and call for help.",
        (
            "Nobody makes a pull alone. One person runs the brake, and one watches and does nothing else.",
            "A telephone and the address of the place hang by the door.",
        ),
        PRACTICE,
    ),
    Caution(
        "full-load",
        "Tuning at full load",
        "Knock and a lean mixture break an engine in seconds, and a broken engine throws parts.",
        (
            "The limits card is written before the day: speed, mixture, spark, temperatures. It holds for every pull.",
            "Steps are small, from the rich and the late side. Any knock, any jump of exhaust temperature: stop.",
            "Pressure of oil and fuel have an alarm or a pair of eyes of their own.",
        ),
        PRACTICE,
    ),
    Caution(
        "brake",
        "The brake and its cart",
        "A cart that tips or a brake that loses its water lets the engine go.",
        (
            "Cart, brake and arm are bolted or chained to what can hold the torque. Wheels are blocked.",
            "Water flow is checked before each pull; without load an engine at full throttle runs away.",
        ),
        PRACTICE,
    ),
)
