"""What one running server knows: where the book lies, how it is reached, what works and watches."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from fairpull.tasks.apart.registry import Works
from fairpull.tasks.bench.door import holds_book

if TYPE_CHECKING:
    from fairpull.tasks.bench.arrivals import Arrivals


class Shop:
    """One server's state. Nothing in it is worth keeping when the server ends.

    Attributes:
        wanted: folder of the book, which is there or will be made there.
        port: that the server listens on.
        names: more names it answers to.
        open_to_network: others than this machine can reach it.
        behind_proxy: a proxy on this machine hands requests on.
        works: long work, each in a process of its own.
        arrivals: of a watched folder; None where none is watched.
    """

    def __init__(
        self,
        wanted: Path,
        *,
        port: int = 8700,
        names: tuple[str, ...] = (),
        open_to_network: bool = False,
        behind_proxy: bool = False,
    ) -> None:
        self.wanted = wanted.absolute()
        self.port = port
        self.names = names
        self.open_to_network = open_to_network
        self.behind_proxy = behind_proxy
        self.works = Works()
        self.arrivals: Arrivals | None = None

    @property
    def folder(self) -> Path | None:
        """Folder of the book; None while there is none."""
        return self.wanted if holds_book(self.wanted) else None

    def watch(self, folder: Path, build: str = "", against: str = "") -> None:
        """Take in what arrives in a folder, from now until the server ends.

        Args:
            folder: to watch.
            build: what is fitted; "" takes what the book says.
            against: build to judge against; "" takes what the build's sheet names.
        """
        from fairpull.tasks.bench.arrivals import Arrivals

        self.arrivals = Arrivals(self.wanted, folder, build, against)
        self.arrivals.start()

    def close(self) -> None:
        """Cancel all work and the watch."""
        if self.arrivals is not None:
            self.arrivals.stop()
        self.works.close()
