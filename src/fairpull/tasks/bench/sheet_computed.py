"""One sheet with everything that follows from it: facts, flow table, cam card, versions, use, papers."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from fairpull import engine
from fairpull.engine.engine_facts import engine_facts
from fairpull.tasks.bench.adding import changes
from fairpull.tasks.bench.builds import Shelf
from fairpull.tasks.bench.sheet_fields import in_order
from fairpull.tasks.bench.sheet_files import CHECKS
from fairpull.tasks.bench.sheet_page import sheet_findings_of
from fairpull.tasks.bench.used_by import counts_of, peak_speed, uses
from fairpull.terms.build import Build, Change, Fact, Part
from fairpull.terms.errors import FairpullError, Fault
from fairpull.terms.findings import Finding, Severity
from fairpull.terms.sheet_view import CamCard, FlowBench, FlowRow, PartFacts, SheetView, UsedBy, ValveSpan, VersionLine

if TYPE_CHECKING:
    from fairpull.book import Book
    from fairpull.terms.bench import Sheet

AGREEMENT = 0.02
"""Entered and computed compression ratio may lie this far apart; rounding on a spec sheet is less."""
ROUNDING = 0.005
SIDES = ("intake", "exhaust")
FROM_VOLUMES = "compression ratio from volumes"


def sheet_view(kept: Book, kind: str, name: str, version: int | None = None) -> SheetView:
    """One sheet as its page shows it.

    Args:
        kept: the book.
        kind: of sheet.
        name: of the sheet.
        version: an older one; None for the newest.

    Returns:
        The sheet with what follows from it. A sheet that cannot be read any more comes with its faults and without
        facts.

    Raises:
        UnknownName: no such kind, name or version.
    """
    sheet = kept.sheet(kind, name, version)
    every = [one for one in kept.sheets(kind, all_versions=True) if one.name == name]
    held = uses(kept, kind).get(name, ()) if kind in ("engine", "part") else ()
    about = (kind, name)
    counts = counts_of(kept) if kind == "build" else {}
    part = str(sheet.body.get("kind", "")) if kind == "part" else ""
    view = SheetView(
        replace(sheet, body=in_order(sheet.body, kind, part)),
        every[-1].version,
        version_lines(every),
        used_by=held,
        pulls=counts.get(name, 0) if kind == "build" else sum(one.pulls for one in held),
        notes=kept.remarks(about),
        laid=kept.attachments(about),
    )
    try:
        return _computed(kept, view, held)
    except FairpullError as error:
        return replace(view, faults=tuple(dict.fromkeys(error.faults)))


def version_lines(every: Sequence[Sheet]) -> tuple[VersionLine, ...]:
    """Versions of one sheet, newest first, each with what changed.

    Args:
        every: its versions, oldest first.

    Returns:
        One line each.
    """
    lines = []
    for n, one in enumerate(every):
        said = changes(every[n - 1].body, one.body) if n else ""
        lines.append(VersionLine(one.version, one.added_at, said))
    return tuple(reversed(lines))


def _computed(kept: Book, view: SheetView, held: tuple[UsedBy, ...]) -> SheetView:
    sheet = view.sheet
    shelf = Shelf(kept, [sheet])
    CHECKS[sheet.kind](sheet, shelf)
    if sheet.kind == "engine":
        facts = facts_of_engine(kept, shelf, sheet, held)
        return replace(view, facts=facts, findings=ratio_findings(sheet, facts, sheet.body.get("compression_ratio")))
    if sheet.kind == "part":
        part = shelf.part(sheet.name)
        return replace(view, facts=part.facts, flow=flow_bench(part), cams=cam_cards(part))
    if sheet.kind == "build":
        return _of_build(kept, view, shelf)
    return replace(view, findings=sheet_findings_of(sheet))


def facts_of_engine(kept: Book, shelf: Shelf, sheet: Sheet, held: tuple[UsedBy, ...] = ()) -> tuple[Fact, ...]:
    """What follows from an engine's sheet, at the speed where builds on it made the most power.

    Args:
        kept: the book.
        shelf: with the sheet.
        sheet: of the engine.
        held: builds on it.

    Returns:
        Facts with formula and source.
    """
    machine = shelf.engine(sheet.name)
    ratio = machine.compression_ratio if "volumes" in sheet.body else None
    peak = peak_speed(kept, held)
    return tuple(engine_facts(machine, ratio, () if peak is None else (peak,)))


def ratio_findings(sheet: Sheet, facts: Sequence[Fact], entered: object) -> tuple[Finding, ...]:
    """Whether the entered compression ratio and the one from volumes say the same.

    Args:
        sheet: that is looked at.
        facts: what follows from it.
        entered: compression ratio as written; None where it is not.

    Returns:
        No finding, or one.
    """
    made = next((float(one.value) for one in facts if one.name == FROM_VOLUMES), None)
    stated = _ratio(entered)
    if made is None or stated is None:
        return ()
    off = stated / made - 1.0
    if abs(off) <= ROUNDING:
        return ()
    text = f"Entered is a compression ratio of {stated:.2f}:1; the volumes make {made:.2f}:1 ({100.0 * off:+.1f} %)."
    remedy = "Measure the chamber and the deck again, and correct the one that is wrong."
    weight = Severity.WARNING if abs(off) > AGREEMENT else Severity.NOTE
    return (Finding("compression-ratio-from-volumes", weight, f"{sheet.kind} {sheet.name}", text, remedy),)


def _ratio(entered: object) -> float | None:
    try:
        value = float(str(entered).strip().removesuffix(":1").strip().replace(",", "."))
    except ValueError:
        return None
    return value if math.isfinite(value) and value > 1.0 else None


def _of_build(kept: Book, view: SheetView, shelf: Shelf) -> SheetView:
    sheet = view.sheet
    build = shelf.build_of(sheet)
    bare = shelf.sheet("engine", build.engine_name)
    head, cam = build.parts.get("head"), build.parts.get("camshaft")
    facts = (*build.facts, *_at_the_peak(kept, build, view.pulls))
    changed: tuple[Change, ...] = ()
    faults: tuple[Fault, ...] = ()
    if build.reference and build.reference != sheet.name:
        try:
            changed = engine.build_changes(shelf.build(build.reference), build)
        except FairpullError as error:
            faults = error.faults
    return replace(
        view,
        facts=facts,
        parts=tuple(
            PartFacts(kind, one.name, in_order(one.body, "part", kind), one.facts) for kind, one in build.parts.items()
        ),
        engine=bare.body,
        changes=changed,
        faults=faults,
        findings=ratio_findings(sheet, facts, bare.body.get("compression_ratio")),
        flow=None if head is None else flow_bench(head),
        cams=() if cam is None else cam_cards(cam),
    )


def _at_the_peak(kept: Book, build: Build, pulls: int) -> tuple[Fact, ...]:
    """Piston speed where the build made its most power; the rest is on the build's own facts."""
    peak = peak_speed(kept, (UsedBy(build.name, pulls),))
    if peak is None:
        return ()
    return tuple(one for one in engine_facts(build.engine, None, (peak,)) if one.name.endswith(peak[0]))


def flow_bench(part: Part) -> FlowBench | None:
    """A head's flow table with what each row says of the port.

    Args:
        part: any.

    Returns:
        The table at its stated depression; None where the part has none. The coefficient is the flow over what the
        smaller of curtain and valve area would pass without losses, where the valve's size is known.
    """
    flow, depression = part.data.get("flow"), part.data.get("depression")
    if part.kind != "head" or not flow or not isinstance(depression, float):
        return None
    rows = []
    for place, side in enumerate(SIDES, start=1):
        valve, count = part.data.get(f"{side}_valve"), int(part.data.get(f"{side}_valves") or 1)
        rows += [_flow_row(side, row[0], row[place], valve, count, depression) for row in flow if len(row) > place]
    return FlowBench(depression, str(part.body.get("depression", "")), tuple(rows))


def _flow_row(side: str, lift: float, flow: float, valve: float | None, count: int, depression: float) -> FlowRow:
    from fairpull.engine.ports import bench_speed

    effective = flow / float(np.asarray(bench_speed(depression)))
    if valve is None or lift <= 0.0:
        return FlowRow(side, lift, flow, None, effective)
    area = count * min(float(engine.curtain_area(valve, lift)), float(engine.pipe_area(valve)))
    coefficient = float(np.asarray(engine.flow_coefficient(flow, area, depression)))
    return FlowRow(side, lift, flow, coefficient, effective)


def cam_cards(part: Part) -> tuple[CamCard, ...]:
    """When the valves open and close, at each lift that the card states.

    Args:
        part: any.

    Returns:
        One card for each stated lift; nothing where the card has no centreline. Nothing is invented between the
        events.
    """
    if part.kind != "camshaft":
        return ()
    facts = {one.name: float(one.value) for one in part.facts if isinstance(one.value, float)}
    centres = {side: _centre(part, facts, side) for side in SIDES}
    stated = dict.fromkeys(one.partition(", ")[2] for one in facts if one.startswith(("intake open", "exhaust open")))
    cards = [CamCard(_stated(part.body, name), _spans(facts, centres, name)) for name in stated]
    return tuple(card for card in cards if card.spans)


def _centre(part: Part, facts: Mapping[str, float], side: str) -> float | None:
    entered = part.data.get(f"{side}_centreline")
    return float(entered) if isinstance(entered, float) else facts.get(f"{side} centreline")


def _stated(body: Mapping[str, object], name: str) -> str:
    if name != "advertised":
        return name
    lift = body.get("advertised_lift")
    told = isinstance(lift, str) and any(one.isdigit() for one in lift)
    return f"advertised, at {lift}" if told else "advertised, at a lift that is not stated"


def _spans(facts: Mapping[str, float], centres: Mapping[str, float | None], name: str) -> tuple[ValveSpan, ...]:
    spans = []
    opens, closes = facts.get(f"exhaust opening BBDC, {name}"), facts.get(f"exhaust closing ATDC, {name}")
    if opens is not None and closes is not None and (centre := centres["exhaust"]) is not None:
        spans.append(ValveSpan("exhaust", -math.pi - opens, closes, -centre))
    opens, closes = facts.get(f"intake opening BTDC, {name}"), facts.get(f"intake closing ABDC, {name}")
    if opens is not None and closes is not None and (centre := centres["intake"]) is not None:
        spans.append(ValveSpan("intake", -opens, math.pi + closes, centre))
    return tuple(spans)


def faults_of(kept: Book, sheet: Sheet) -> tuple[Fault, ...]:
    """Why a sheet cannot be read; nothing where it can."""
    try:
        CHECKS[sheet.kind](sheet, Shelf(kept, [sheet]))
    except FairpullError as error:
        return tuple(dict.fromkeys(error.faults))
    return ()
