"""File names that every file system takes, made of names that a person chose."""

from __future__ import annotations

import hashlib
import unicodedata

LONGEST = 50  # letters; up to four bytes each, and file systems take 255 bytes
PLAIN = frozenset("-_+#.,= ()")
# Names that Windows keeps for devices, whatever stands behind the first dot.
DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}


class FileNames:
    """File names of one folder, no two alike even where capitals and small letters are the same."""

    def __init__(self) -> None:
        """No name is taken yet."""
        self._taken: set[str] = set()

    def of(self, name: str, ending: str = "") -> str:
        """A free file name for a name: the name itself where it can be, else with a mark of its hash.

        The same names in the same order give the same file names.

        Args:
            name: anything.
            ending: such as ".toml".

        Returns:
            The file name.
        """
        safe = "".join(sign if _plain(sign) else "_" for sign in name)[:LONGEST].strip(" .")
        changed = safe != name or unicodedata.normalize("NFC", name) != name
        device = safe.split(".")[0].strip().casefold() in DEVICES
        found = f"{safe}{ending}"
        if changed or device or not safe or _folded(found) in self._taken:
            found = f"{safe or 'x'}~{hashlib.sha256(name.encode()).hexdigest()[:8]}{ending}"
            if device:
                found = f"_{found}"
        number = 1
        while _folded(found) in self._taken:
            number += 1
            found = f"{safe or 'x'}~{hashlib.sha256(name.encode()).hexdigest()[:8]}-{number}{ending}"
        self._taken.add(_folded(found))
        return found


def _plain(sign: str) -> bool:
    return sign in PLAIN or (sign.isalnum() and unicodedata.normalize("NFKC", sign) == sign)


def _folded(name: str) -> str:
    return unicodedata.normalize("NFKC", name).casefold()
