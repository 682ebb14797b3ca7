"""Two logs of one pull, the brake's and the engine controller's, joined into one recording."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, replace

import numpy as np

from fairpull.logs.align import LARGEST_DRIFT, Alignment, Trace, align, clean_trace, onto_clock
from fairpull.terms.arrays import FloatArray
from fairpull.terms.errors import Fault, ReadRefused
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.recording import Conditions, Mapped, Recording

_LEAST_OVERLAP = 3.0  # s: shorter than any useful sweep
_LEAST_SHARE = 0.5  # of the shorter log
_LEAST_SPAN = 300.0  # rpm: less movement than this fixes no lag
_LARGEST_MISFIT = 25.0  # rpm, or the share below of the speed range, whichever is more
_LARGEST_SHARE = 0.02
_RIVAL = 1.5  # another place that fits nearly as well makes the lag ambiguous


def join(brake: Recording, other: Recording) -> Recording:
    """Join the engine controller's log onto the brake's clock.

    Lag and clock rate are found by aligning the two speed traces. The brake's rows and channels stay as they
    are; the other log's channels are interpolated linearly onto the brake's rows, NaN where it saw nothing.

    Args:
        brake: the brake's recording; its clock and its own channels are kept.
        other: the other recording of the same pull, on any clock and at any rate.

    Returns:
        One recording under the brake's name, with the finding "logs-joined" (lag [ms], drift [ppm], speed
        misfit [rpm]).

    Raises:
        ReadRefused: "join-no-speed", "join-no-clock" (all that apply, of both logs); "join-short-overlap",
            "join-poor-fit", "join-ambiguous" where speed cannot be aligned beyond doubt.
    """
    _refuse_unfit(brake, other)
    first = clean_trace(brake.channels["time"], brake.channels["rpm"])
    second = clean_trace(other.channels["time"], other.channels["rpm"])
    fit = _best(brake, other, first, second)
    start = _first_kept(brake)
    kept_start = _first_kept(other)
    moved = fit.to_reference(other.channels["time"] - kept_start) + start
    carried = {
        name: onto_clock(brake.channels["time"], moved, values)
        for name, values in other.channels.items()
        if name != "time"
    }
    return _merge(brake, other, fit, carried, moved)


def _first_kept(recording: Recording) -> float:
    time, rpm = recording.channels["time"], recording.channels["rpm"]
    return float(time[np.isfinite(time) & np.isfinite(rpm)][0])


def _refuse_unfit(brake: Recording, other: Recording) -> None:
    """Refuse, all faults at once, logs without a usable clock or speed."""
    faults: list[Fault] = []
    for recording in (brake, other):
        where = recording.origin.path
        if "time" not in recording.channels:
            faults.append(Fault("join-no-clock", where, "no clock column", "log time in both files, or map it as time"))
        if "rpm" not in recording.channels:
            faults.append(Fault("join-no-speed", where, "no engine speed", "log speed in both files, or map it as rpm"))
    if faults:
        raise ReadRefused(faults)
    for recording in (brake, other):
        trace = clean_trace(recording.channels["time"], recording.channels["rpm"])
        if trace.time.size < 10:
            seen = f"{trace.time.size} rows with both a clock and a speed"
            remedy = "log speed and time through the whole pull (10 rows or more)"
            faults.append(Fault("join-no-speed", recording.origin.path, seen, remedy))
    if faults:
        raise ReadRefused(faults)


def _best(brake: Recording, other: Recording, first: Trace, second: Trace) -> Alignment:
    """The one alignment that stands beyond doubt, or a refusal."""
    where = f"{brake.origin.path} + {other.origin.path}"
    shorter = min(first.length, second.length)
    least = max(_LEAST_OVERLAP, _LEAST_SHARE * shorter)
    fits = align(first, second, least_overlap=least)
    if not fits:
        _refuse_without_overlap(where, first, second, least)
    best = fits[0]
    limit = max(_LARGEST_MISFIT, _LARGEST_SHARE * best.span)
    if best.misfit > limit or abs(best.drift) > LARGEST_DRIFT or best.span < _LEAST_SPAN:
        raise ReadRefused(Fault("join-poor-fit", where, _poor(best, limit), _poor_remedy(best)))
    for rival in fits[1:]:
        if rival.misfit <= max(_RIVAL * best.misfit, 2.0):
            seen = (
                f"speed fits at two lags, {best.lag:.2f} s ({best.misfit:.1f} rpm rms) and {rival.lag:.2f} s "
                f"({rival.misfit:.1f} rpm rms)"
            )
            remedy = "cut the longer log down to the pull in question, or log a throttle blip before the pull"
            raise ReadRefused(Fault("join-ambiguous", where, seen, remedy))
    return best


def _refuse_without_overlap(where: str, first: Trace, second: Trace, least: float) -> None:
    spans = float(np.ptp(first.rpm)), float(np.ptp(second.rpm))
    if min(spans) < _LEAST_SPAN:
        seen = f"speed moves by only {min(spans):.0f} rpm, which fixes no lag"
        remedy = f"join logs in which speed moves by {_LEAST_SPAN:.0f} rpm or more"
        raise ReadRefused(Fault("join-poor-fit", where, seen, remedy))
    seen = f"logs of {first.length:.1f} s and {second.length:.1f} s; no shift with {least:.1f} s in common fits"
    remedy = f"join logs of the same pull that have at least {least:.1f} s in common"
    raise ReadRefused(Fault("join-short-overlap", where, seen, remedy))


def _poor(fit: Alignment, limit: float) -> str:
    if abs(fit.drift) > LARGEST_DRIFT:
        return f"the clocks would have to differ by {fit.drift * 1e6:.0f} ppm"
    if fit.span < _LEAST_SPAN:
        return f"speed moves by only {fit.span:.0f} rpm in the {fit.overlap:.1f} s in common"
    return f"best fit leaves {fit.misfit:.0f} rpm rms between the two speeds ({limit:.0f} rpm is accepted)"


def _poor_remedy(fit: Alignment) -> str:
    if abs(fit.gain - 1.0) > 0.005:
        return (
            f"check the teeth count, pulses per turn or drive ratio (the other log reads {fit.gain:.4f} "
            "times the brake's speed), or join logs of the same pull"
        )
    return "join logs of the same pull, with engine speed in both"


def _merge(
    brake: Recording,
    other: Recording,
    fit: Alignment,
    carried: Mapping[str, FloatArray],
    moved: FloatArray,
) -> Recording:
    clashes = [name for name in carried if name in brake.channels]
    channels = dict(brake.channels) | {name: carried[name] for name in carried if name not in brake.channels}
    extra = dict(brake.extra)
    for name in clashes:
        extra[f"{name} ({other.name})"] = carried[name]
    for name, values in other.extra.items():
        own = name if name not in extra else f"{name} ({other.name})"
        extra[own] = onto_clock(brake.channels["time"], moved, values)
    given = brake.given if _anything(brake.given) else other.given
    settled = _settled(channels, given)
    findings = [finding for finding in (*brake.findings, *other.findings) if finding.code not in settled]
    findings.append(_joined(other, fit))
    if clashes:
        findings.append(_clash(other, clashes))
    origin = replace(brake.origin, detail=_with_other(brake.origin.detail, other))
    return replace(
        brake,
        origin=origin,
        channels=channels,
        extra=extra,
        mapped=brake.mapped + tuple(_mapped(row, other, clashes) for row in other.mapped),
        given=given,
        findings=tuple(findings),
        choices=_choices(brake, other, fit, clashes),
    )


def _settled(channels: Mapping[str, FloatArray], given: Conditions) -> set[str]:
    """Codes of findings about one log's lack that the other log has filled."""
    settled = {"torque-missing"} if "torque" in channels else set()
    pressure = "barometer" in channels or given.pressure is not None
    temperature = "inlet_temperature" in channels or given.temperature is not None
    return settled | {"no-weather"} if pressure and temperature else settled


def _with_other(detail: str, other: Recording) -> str:
    joined = f"joined with {other.origin.path} (sha256 {other.origin.sha256})"
    return f"{detail}; {joined}" if detail else joined


def _anything(given: Conditions) -> bool:
    return any(value is not None for value in astuple(given))


def _joined(other: Recording, fit: Alignment) -> Finding:
    text = (
        f"joined on speed: lag {fit.lag * 1e3:.1f} ms (± {fit.lag_se * 1e3:.1f}), clock drift "
        f"{fit.drift * 1e6:.0f} ppm (± {fit.drift_se * 1e6:.0f}), speed misfit {fit.misfit:.1f} rpm rms over "
        f"{fit.overlap:.1f} s and {fit.span:.0f} rpm"
    )
    remedy = "look at the two speeds over each other where the exact moment matters (knock, spark)"
    return Finding("logs-joined", Severity.NOTE, other.origin.path, text, remedy)


def _clash(other: Recording, clashes: list[str]) -> Finding:
    text = f"both logs hold {', '.join(clashes)}; the brake's own is kept, the other's is set beside it as extra"
    remedy = "leave the column out of one log, or map it to another channel, to decide otherwise"
    return Finding("join-clash", Severity.NOTE, other.origin.path, text, remedy)


def _mapped(row: Mapped, other: Recording, clashes: list[str]) -> Mapped:
    if row.channel == "time":
        return replace(row, channel=None, reason=f"{other.name}: its clock was moved onto the brake's clock")
    if row.channel in clashes:
        return replace(row, channel=None, reason=f"{other.name}: the brake's own {row.channel} is kept")
    return replace(row, reason=f"{other.name}: {row.reason}")


def _choices(brake: Recording, other: Recording, fit: Alignment, clashes: list[str]) -> dict[str, str]:
    taken = {f"{other.name}: {name}": value for name, value in other.choices.items()}
    choices = dict(brake.choices) | taken
    choices["join"] = f"{other.origin.path} onto the clock of {brake.origin.path}"
    choices["join method"] = (
        "lag and clock rate from speed: cross-correlation, then robust least squares; the brake's rows kept, "
        "the other's channels interpolated linearly, no value across gaps over 5 of its steps"
    )
    choices["join lag"] = f"{fit.lag * 1e3:.1f} ms"
    choices["join drift"] = f"{fit.drift * 1e6:.0f} ppm"
    choices["join misfit"] = f"{fit.misfit:.1f} rpm rms"
    if clashes:
        choices["join clashes"] = f"the brake's own kept: {', '.join(clashes)}"
    return choices
