"""Write docs/findings.md: every finding and refusal code of the source under its own heading.

Which codes there are, where they come from and how heavy they are is read from the source; what each means
and what to do about it is written by hand in tools/findings.toml. `python -m tools.findings_page` writes the
page, `--check` only says whether it is stale.
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

from tools.finding_codes import ROOT, Code, Survey, survey

PAGE = ROOT / "docs" / "findings.md"
TEXTS = ROOT / "tools" / "findings.toml"
INTRO = """\
# Findings and refusals

<!-- Made by `make docs-write` from the source and tools/findings.toml. Do not edit by hand. -->

A **finding** is a warning that travels with a result into every face of it: terminal, report and JSON.
A *note* is worth knowing, a *warning* may change how the result reads, a *fault* means that the value should
not be used as it stands. A **refusal** ends a command with exit code 2: nothing is half-written, and all
faults of a file are named at once, each with its place, what was seen there, and what would be accepted.
"""


def texts(path: Path = TEXTS) -> dict[str, dict[str, str]]:
    """What was written by hand: code -> {"means": ..., "do": ...}."""
    return tomllib.loads(path.read_text("utf-8")) if path.exists() else {}


def faults(found: Survey, written: dict[str, dict[str, str]]) -> list[str]:
    """Why the page cannot be made: codes without text, texts without a code, places no machine can read."""
    told = [f"{place}: the code is not a plain word a machine can read" for place in found.unread]
    told += [f"{name}: no text in tools/findings.toml" for name in sorted(set(found.codes) - set(written))]
    told += [
        f"{name}: in tools/findings.toml, but the source never gives it"
        for name in sorted(set(written) - set(found.codes))
    ]
    for name, text in sorted(written.items()):
        missing = [key for key in ("means", "do") if not text.get(key, "").strip()]
        told += [f"{name}: {key} is not written" for key in missing]
    return told


def page(found: Survey, written: dict[str, dict[str, str]]) -> str:
    """The whole page as Markdown."""
    codes = sorted(found.codes.values(), key=lambda code: code.name)
    findings = [code for code in codes if "finding" in code.kinds]
    refusals = [code for code in codes if "finding" not in code.kinds]
    parts = [INTRO, "## Findings\n"]
    parts += [_entry(code, written[code.name]) for code in findings]
    parts += ["## Refusals\n"]
    parts += [_entry(code, written[code.name]) for code in refusals]
    return "\n".join(parts)


def _entry(code: Code, text: dict[str, str]) -> str:
    order = ("note", "warning", "fault")
    weight = " or ".join(word for word in order if word in code.severities)
    kinds = [weight or "finding"] if "finding" in code.kinds else []
    kinds += ["refusal"] if "refusal" in code.kinds else []
    head = f"### {code.name}\n\n*{', also a '.join(kinds)}* from {', '.join(sorted(code.rooms))}\n"
    return f"{head}\n{text['means'].strip()}\n\nWhat to do: {text['do'].strip()}\n"


def main(arguments: list[str]) -> int:
    """Write the page, or with ``--check`` compare it; the exit code says whether all is well."""
    found, written = survey(), texts()
    told = faults(found, written)
    if not told:
        fresh = page(found, written)
        if "--check" not in arguments:
            PAGE.write_text(fresh, "utf-8")
        elif not PAGE.exists() or PAGE.read_text("utf-8") != fresh:
            told.append("docs/findings.md is stale: run 'make docs-write'")
    for line in told:
        print(line, file=sys.stderr)
    return 1 if told else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
