"""Reads ``engine.toml``: numbers with their units as text, all faults of the file at once."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from pathlib import Path

from pydantic import ValidationError

from fairpull.engine.file_form import FORMS, EngineForm, FuelForm, VolumesForm
from fairpull.engine.form_types import faults_of
from fairpull.engine.fuels import ALSO, FUELS
from fairpull.engine.geometry import bore_volume, clearance_volume, compression_ratio, displacement
from fairpull.terms.engine import Engine, Fuel
from fairpull.terms.errors import Fault, ReadRefused, ValueRefused

LARGEST_FILE = 1_000_000  # bytes; an engine file is a page of text
_AGREEMENT = 0.02  # stated and computed displacement or compression ratio; rounding on a spec sheet is less
_NOT_GIVEN = float("nan")


def load(path: Path | str) -> Engine:
    """Read an engine file.

    Args:
        path: of the TOML file. It holds either bore, stroke and cylinders, or displacement; everything else
            is optional.

    Returns:
        The engine.

    Raises:
        ReadRefused: no such file, not text, or not TOML.
        ValueRefused: unknown, missing, impossible or contradicting entries; all at once, each with file and
            entry.
    """
    file = Path(path)
    return engine_from_text(_text(file), where=file.name, name=file.stem)


def engine_from_text(text: str, *, where: str, name: str) -> Engine:
    """Read an engine from the text of an engine file.

    Args:
        text: TOML.
        where: what to call the file in a refusal.
        name: of the engine where the text gives none.

    Returns:
        The engine.

    Raises:
        ReadRefused: not TOML.
        ValueRefused: as ``load``.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ReadRefused(
            Fault(
                "not-toml",
                where,
                str(error),
                'write lines such as bore = "88 mm" or cylinders = 4; a number with a unit stands in quotes',
            )
        ) from error
    return engine_from_table(raw, where=where, name=name)


def engine_from_table(raw: Mapping[str, object], *, where: str, name: str) -> Engine:
    """Read an engine from a table, as it stands in an engine file or in a bench book.

    Args:
        raw: entry -> what was written.
        where: what to call the file in a refusal.
        name: of the engine where the table gives none.

    Returns:
        The engine.

    Raises:
        ValueRefused: unknown, missing, impossible or contradicting entries; all at once.
    """
    faults = _missing(raw, where)
    try:
        form = EngineForm.model_validate(raw)
    except ValidationError as error:
        raise ValueRefused([*faults, *faults_of(error, where, FORMS)]) from error
    faults += _contradictions(form, where)
    if faults:
        raise ValueRefused(faults)
    return _engine(form, name)


def _text(file: Path) -> str:
    try:
        if file.stat().st_size > LARGEST_FILE:
            raise ReadRefused(
                Fault("file-too-large", str(file), f"{file.stat().st_size} bytes", "give an engine file in TOML")
            )
        return file.read_bytes().decode("utf-8-sig")
    except OSError as error:
        fault = Fault("file-unreadable", str(file), error.strerror or str(error), "give a file that exists")
        raise ReadRefused(fault) from error
    except UnicodeDecodeError as error:
        fault = Fault("not-utf-8", str(file), f"byte {error.start} is not UTF-8 text", "save the file as UTF-8")
        raise ReadRefused(fault) from error


def _missing(raw: Mapping[str, object], where: str) -> list[Fault]:
    if "displacement" in raw:
        return []
    wanted = [key for key in ("bore", "stroke", "cylinders") if key not in raw]
    if len(wanted) == 3:
        return [
            Fault(
                "size-missing",
                where,
                "no bore, stroke, cylinders or displacement",
                'give bore = "88 mm", stroke = "82 mm", cylinders = 4, or displacement = "2.0 L"',
            )
        ]
    return [
        Fault("entry-missing", f"{where}, {key}", "not given", f"give {key}, or displacement instead") for key in wanted
    ]


def _contradictions(form: EngineForm, where: str) -> list[Fault]:
    faults = []
    computed = _swept(form)
    if form.displacement is not None and computed is not None:
        off = form.displacement / computed - 1.0
        if abs(off) > _AGREEMENT:
            faults.append(
                Fault(
                    "displacement-disagrees",
                    f"{where}, displacement",
                    f"{form.displacement * 1e6:.0f} cm3, but bore, stroke and cylinders make {computed * 1e6:.0f} cm3",
                    "correct one of them, or leave displacement out",
                )
            )
    if form.rod is not None and form.stroke is not None and form.rod <= form.stroke / 2.0:
        faults.append(
            Fault(
                "rod-too-short",
                f"{where}, rod",
                f"{form.rod * 1e3:.1f} mm with a stroke of {form.stroke * 1e3:.1f} mm",
                "give the rod's length from centre to centre",
            )
        )
    if form.volumes is not None:
        faults += _volume_faults(form, form.volumes, where)
    return faults


def _volume_faults(form: EngineForm, volumes: VolumesForm, where: str) -> list[Fault]:
    faults = []
    if not math.isfinite(_cylinder(form)):
        faults.append(
            Fault(
                "entry-missing",
                f"{where}, cylinders",
                "the swept volume of one cylinder is not known",
                "give cylinders, so that a compression ratio can be computed from volumes",
            )
        )
    if form.bore is None and (volumes.deck_clearance or (volumes.gasket_thickness and not volumes.gasket_bore)):
        faults.append(
            Fault(
                "entry-missing",
                f"{where}, bore",
                "a deck clearance or gasket thickness needs it",
                "give bore, or deck and gasket as volumes",
            )
        )
    if faults:
        return faults
    ratio = _ratio(form, volumes)
    if not 3.0 <= ratio <= 30.0:
        return [
            Fault(
                "compression-ratio-implausible",
                f"{where}, volumes",
                f"they make a compression ratio of {ratio:.1f}",
                "check units and signs; a dish adds volume, a dome takes it away",
            )
        ]
    stated = form.compression_ratio
    if stated is not None and abs(stated / ratio - 1.0) > _AGREEMENT:
        return [
            Fault(
                "compression-ratio-disagrees",
                f"{where}, compression_ratio",
                f"{stated:.2f}, but the volumes make {ratio:.2f}",
                "correct one of them, or leave compression_ratio out",
            )
        ]
    return []


def _swept(form: EngineForm) -> float | None:
    if form.bore is None or form.stroke is None or form.cylinders is None:
        return None
    return float(displacement(form.bore, form.stroke, form.cylinders))


def _cylinder(form: EngineForm) -> float:
    if form.bore is not None and form.stroke is not None:
        return float(bore_volume(form.bore, form.stroke))
    if form.displacement is not None and form.cylinders is not None:
        return form.displacement / form.cylinders
    return _NOT_GIVEN


def _ratio(form: EngineForm, volumes: VolumesForm) -> float:
    bore = form.bore if form.bore is not None else _NOT_GIVEN
    gasket = volumes.gasket or 0.0
    if volumes.gasket_thickness is not None:
        gasket = float(bore_volume(volumes.gasket_bore or bore, volumes.gasket_thickness))
    deck = volumes.deck or 0.0
    if volumes.deck_clearance is not None:
        deck = float(bore_volume(bore, volumes.deck_clearance))
    clearance = clearance_volume(volumes.chamber, gasket=gasket, deck=deck, dish=volumes.dish, dome=volumes.dome)
    return float(compression_ratio(_cylinder(form), clearance)) if float(clearance) > 0.0 else math.inf


def fuel_of(given: str | FuelForm | None) -> Fuel | None:
    """The fuel that an entry stands for.

    Args:
        given: a known fuel's name, a fuel of one's own, or None.

    Returns:
        The fuel; what neither the entry nor the table of known fuels holds is NaN.
    """
    if given is None:
        return None
    if isinstance(given, str):
        return FUELS[ALSO.get(given, given)].fuel
    base = FUELS.get(ALSO.get(given.name, given.name))
    known = base.fuel if base is not None else Fuel(given.name, _NOT_GIVEN, _NOT_GIVEN, _NOT_GIVEN)
    return Fuel(
        given.name,
        known.stoichiometric if given.stoichiometric is None else given.stoichiometric,
        known.heating_value if given.heating_value is None else given.heating_value,
        known.density if given.density is None else given.density,
    )


def _engine(form: EngineForm, name: str) -> Engine:
    ratio = form.compression_ratio
    if form.volumes is not None:
        ratio = _ratio(form, form.volumes)
    computed = _swept(form)
    return Engine(
        name=form.name or name,
        bore=_NOT_GIVEN if form.bore is None else form.bore,
        stroke=_NOT_GIVEN if form.stroke is None else form.stroke,
        cylinders=form.cylinders or 0,
        rod=form.rod,
        strokes=form.strokes,
        compression_ratio=ratio,
        fuel=fuel_of(form.fuel),
        induction=form.induction,
        ignition=form.ignition,
        inertia=form.inertia,
        parts=dict(form.parts),
        displacement=form.displacement if computed is None else None,
    )
