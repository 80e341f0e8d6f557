"""A workroom that runs in a thread, on an empty folder."""

from __future__ import annotations

import threading
import time
from pathlib import Path

import pytest

from explainer.room.server import open_room


class Running:
    """Its folder, its address, and the end of it."""

    def __init__(self, root: Path) -> None:
        self.root, self.said, self.stop = root, [], threading.Event()
        self.thread = threading.Thread(
            target=open_room, args=(root, 0, self.said.append, False, self.stop)
        )
        self.thread.start()
        end = time.monotonic() + 60
        while not self.said:
            assert time.monotonic() < end and self.thread.is_alive()
            time.sleep(0.02)
        self.address = self.said[0].split()[1]

    @property
    def port(self) -> int:
        return int(self.address.split("/")[2].split(":")[1])

    @property
    def secret(self) -> str:
        return self.address.split("/")[3]

    def end(self) -> None:
        self.stop.set()
        self.thread.join(30)
        assert not self.thread.is_alive()


@pytest.fixture
def room(tmp_path):
    (tmp_path / "league").mkdir()
    running = Running(tmp_path / "league")
    yield running
    running.end()
