"""The life of a command's own process: it starts lean, and leaves without tidying up what ends with it anyway."""

from __future__ import annotations

import gc
import os
import sys
from typing import NoReturn

RUBBISH = 200_000  # objects made between two searches for cyclic rubbish; as often as Python looks costs a tenth


def start() -> None:
    """Set the process up; to be called before numpy is loaded.

    The matrices here are small: threads inside the linear algebra only wait for each other, and one thread adds up in
    the same order on every machine. Whoever has set their number keeps it.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(RUBBISH)


def leave(code: int) -> NoReturn:
    """End the process. A last search for cyclic rubbish would take as long as reading ten logs and free nothing.

    Args:
        code: exit code.
    """
    gc.freeze()
    sys.exit(code)
