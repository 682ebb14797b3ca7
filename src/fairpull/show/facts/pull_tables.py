"""Tables of a pull's page: by rpm, health sign by sign, conditions, how it was read, its history."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fairpull.engine import power_from_torque
from fairpull.show import digits, scale
from fairpull.show.facts import grid, pull_derived, words
from fairpull.show.facts.table import Column, Table
from fairpull.show.facts.table import words as text
from fairpull.show.facts.words import plain
from fairpull.terms.arrays import FloatArray
from fairpull.terms.health import SIGN_KINDS, HealthReport, Sign
from fairpull.terms.pull_page import PullPage

MOST_ROWS = 24
WIDTH_OF_95 = 1.959964  # standard errors on either side
FOUND, NOT_FOUND, UNSEEN = "found", "not found", "could not be seen"
GIVEN = (
    ("pressure", "pressure, absolute", "Pa", "barometer", 2),
    ("temperature", "inlet air", "K", "inlet_temperature", 1),
    ("relative_humidity", "relative humidity", "1", "relative_humidity", 0),
    ("dew_point", "dew point", "K", "dew_point", 1),
    ("wet_bulb", "wet bulb", "K", "wet_bulb", 1),
    ("vapour_pressure", "vapour pressure", "Pa", "vapour_pressure", 3),
)


def by_rpm(page: PullPage, system: str) -> Table:
    """Torque, power and what channels and engine yield at round rpm, as far as the pull counts."""
    curve = page.counted
    columns = _columns(page, system)
    if curve is None:
        return Table("by-rpm", "By rpm", columns, (), "There are too few samples for a curve.")
    watts = np.asarray(power_from_torque(curve.torque, curve.rpm))
    seen, power = scale.arrays(curve.torque, "N m", system), scale.arrays(watts, "W", system)
    half = WIDTH_OF_95 * scale.arrays(curve.torque_se, "N m", system)
    factor = page.making.factor
    both = (seen * factor, power * factor) if corrected(page) else ()
    filled = [(values, 1) for values in (*both, seen, power, half)]
    filled += [
        (pull_derived.values(name, page.derived[name], system), pull_derived.kind(name).places[system])
        for name in pull_derived.names(page.derived)
    ]
    rows = tuple(
        (digits.number(float(curve.rpm[n]), 0), *(digits.number(float(values[n]), places) for values, places in filled))
        for n in _rows(page, curve.rpm)
    )
    limit = "" if page.line.valid_to is None else f" Up to {digits.number(page.line.valid_to, 0)} rpm, where it counts."
    note = (
        "\u00b1: 95 % of the observed curve's own standard error: noise within this pull, not what differs from one "
        f"pull to the next. What is not torque or power is as observed.{limit}"
    )
    return Table("by-rpm", "By rpm", columns, rows, note)


def _rows(page: PullPage, rpm: FloatArray) -> list[int]:
    """Which grid points are shown: round steps, both ends, and where the peaks stand."""
    peaks = [page.line.summary.get(f"peak_{name}_rpm") for name in ("torque", "power")]
    near = [int(np.abs(rpm - at).argmin()) for at in peaks if at is not None]
    return sorted({*grid.rows_of(rpm, MOST_ROWS).tolist(), *near})


def corrected(page: PullPage) -> bool:
    """Whether torque and power are corrected, and not shown as observed alone."""
    return page.making.standard != "none"


def _columns(page: PullPage, system: str) -> tuple[Column, ...]:
    torque, power = scale.label("N m", system), scale.label("W", system)
    both = (Column("corrected torque", torque), Column("corrected power", power)) if corrected(page) else ()
    return (
        Column("rpm"),
        *both,
        Column("observed torque", torque),
        Column("observed power", power),
        Column("\u00b1", torque),
        *(pull_derived.column(name, page.derived[name], system) for name in pull_derived.names(page.derived)),
    )


def health(page: PullPage) -> Table:
    """Every kind of sign: found, not to be seen and why, or not found; the numbers are those on the charts."""
    report = page.line.health
    rows = [
        (_name(sign.kind), str(number), f"{FOUND} ({sign.severity.value})", _where(sign), plain(sign.evidence))
        for number, sign in enumerate(page.signs, start=1)
    ]
    seen = {sign.kind for sign in page.signs}
    rest = [(_name(kind), "", *_unfound(report, kind)) for kind in SIGN_KINDS if kind not in seen]
    rows += sorted(rest, key=lambda row: row[2] != UNSEEN)
    held = () if report is None else report.references
    note = f"Held against: {', '.join(map(plain, held))}." if held else "Held against no earlier pull."
    columns = (text("sign"), Column("no."), text("seen"), text("where"), text("numbers, or what it would need"))
    return Table("health", "Health, sign by sign", columns, tuple(rows), note)


def _name(kind: str) -> str:
    return kind.replace("-", " ")


def _where(sign: Sign) -> str:
    upto = "" if sign.counts_to is None else f"; counts to {digits.number(sign.counts_to, 0)} rpm"
    return f"{words.axis_range(sign.low, sign.high)}{upto}"


def _unfound(report: HealthReport | None, kind: str) -> tuple[str, str, str]:
    if report is None:
        return UNSEEN, "", "nobody looked when it was taken in"
    missing = next((one for one in report.unseen if one.kind == kind), None)
    if missing is not None:
        return UNSEEN, "", plain(missing.text or ", ".join(missing.missing))
    return (NOT_FOUND, "", "") if kind in report.looked else (UNSEEN, "", "not looked at")


def conditions(page: PullPage, system: str) -> Table:
    """Air, correction, sweep, calibration and inertia of the pull."""
    line = page.line
    rate = "held speeds" if line.kind == "steps" else f"{digits.number(line.sweep_rate, 0)} rpm/s"
    rows = (
        ("correction", f"{words.basis(page.making.standard)}, factor {digits.number(page.making.factor, 4)}"),
        *_air(page, system),
        ("sweep", rate if line.kind == "steps" or line.sweep_rate else digits.DASH),
        ("tested", words.axis_range(*line.tested)),
        ("counts to", "its end" if line.valid_to is None else f"{digits.number(line.valid_to, 0)} rpm"),
        ("calibration", plain(line.choices.get("calibration", "none given: torque as logged"))),
        ("inertia", plain(line.choices.get("inertia", "none given: no torque added for it"))),
        ("engine", page.making.engine or "its sheet cannot be read"),
    )
    return Table("conditions", "Conditions", (text("what"), text("value")), rows)


def _air(page: PullPage, system: str) -> list[tuple[str, str]]:
    """The air that the factor was made for, and each quantity as it was given or logged."""
    line, air = page.line, page.making.air
    used = {} if air is None else {"pressure": air.pressure, "temperature": air.temperature}
    rows = [] if used else [("air", "not known, so nothing is corrected")]
    for field, name, house, channel, places in GIVEN:
        given = getattr(line.given, field)
        logged = line.figures.get(channel)
        value = given if given is not None else used.get(field, None if logged is None else logged.mean)
        if value is not None:
            choice = plain(line.choices.get(f"given {field}", ""))
            source = f"given by hand{f': {choice}' if choice else ''}" if given is not None else "mean of the log"
            rows.append((name, f"{quantity(value, house, channel, places, system)} ({source})"))
    if air is not None and line.given.vapour_pressure is None and "vapour_pressure" not in line.figures:
        _, name, house, channel, places = GIVEN[-1]
        rows.append((name, f"{quantity(air.vapour_pressure, house, channel, places, system)} (from the humidity)"))
    return rows


def quantity(value: float, house: str, channel: str, places: int, system: str) -> str:
    """A number of the air with its shown unit."""
    shown = digits.number(scale.scalar(value, house, system, channel), places)
    return f"{shown} {scale.label(house, system, channel)}".rstrip()


def choices(page: PullPage) -> Table:
    """What was chosen or assumed while it was read, cleaned and corrected."""
    rows = tuple((plain(name), plain(value)) for name, value in page.line.choices.items())
    return Table("choices", "Choices", (text("choice"), text("value")), rows, "" if rows else "Nothing was noted.")


def reading(page: PullPage) -> Table:
    """The options of reading and cleaning that were not the defaults."""
    rows: list[tuple[str, str]] = []
    for part, options in page.line.reading.items():
        if isinstance(options, Mapping):
            named = {f"{plain(part)}: {plain(str(name)).replace('_', ' ')}": value for name, value in options.items()}
            rows += [(name, _option(value)) for name, value in named.items()]
        else:
            rows.append((plain(part).replace("_", " "), _option(options)))
    note = "House units (SI). Everything else stood at its default." if rows else "Everything stood at its default."
    return Table("reading", "How it was read", (text("option"), text("value")), tuple(rows), note)


def _option(value: object) -> str:
    if isinstance(value, Mapping):
        return plain(", ".join(f"{name} = {_option(one)}" for name, one in value.items()))
    if isinstance(value, list | tuple):
        return plain(", ".join(map(_option, value)))
    return digits.bare(value, 6) if isinstance(value, float) else plain(str(value))


def paper(page: PullPage) -> Table:
    """The line in the book: number, file, hash, when and by which version it was taken in."""
    line = page.line
    rows = (
        ("number in the book", str(line.number)),
        ("build", f"{plain(line.build)}, version {line.build_version} of its sheet"),
        ("file", f"{plain(line.original_name)}, piece {line.piece + 1}"),
        ("file's SHA-256", line.original),
        ("trace's SHA-256", line.trace),
        ("format", plain(f"{line.origin.format}: {line.origin.reason}" if line.origin.format else digits.DASH)),
        ("as read", plain(line.origin.detail or digits.DASH)),
        ("taken in", f"{words.moment(line.taken_at)} by fairpull {line.version}"),
    )
    return Table("paper", "In the book", (text("what"), text("value")), rows)


def notes(page: PullPage) -> tuple[tuple[str, str, str], ...]:
    """Remarks: who, when, and the words."""
    return tuple((plain(one.by) or "nobody named", words.moment(one.added_at), one.text) for one in page.notes)


def history(page: PullPage) -> Table:
    """Every judgement, oldest first."""
    rows = tuple(
        (
            words.moment(one.at),
            one.state + ("" if one.valid_to is None else f" up to {digits.number(one.valid_to, 0)} rpm"),
            plain(one.reason) or digits.DASH,
            plain(one.by) or digits.DASH,
        )
        for one in page.marks
    )
    return Table("history", "Judgements, oldest first", (text("when"), text("state"), text("why"), text("by")), rows)
