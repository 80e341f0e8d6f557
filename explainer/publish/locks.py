"""One holder at a time: a lock on an open file, as the system has it."""

from __future__ import annotations

import sys

if sys.platform == "win32":
    import msvcrt

    def lock_now(handle: int) -> None:
        """Locks an open file, or raises PermissionError at once; it ends with the process."""
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def lock_now(handle: int) -> None:
        """Locks an open file, or raises BlockingIOError at once; it ends with the process."""
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
