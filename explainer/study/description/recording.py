"""A recording of the script, and where its times stand."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from explainer.study.description.base import Block, Name, Positive


class Recording(Block):
    """The recording that was made of the script: captions, chapters and timeline follow it.

    Give either ``marks`` or ``silences``.
    """

    marks: Name | None = Field(
        None,
        description="a CSV file with when things begin in the recording: the columns in (seconds, "
        "or 1:02.5) and still (its name or number) or says (the first words of a sentence); the "
        "script's cuts.csv with another column in is one",
    )
    silences: Name | None = Field(
        None,
        description="its pauses: a CSV file with the columns from and to, or the sound itself as "
        "a WAV file",
    )
    length: Literal["2-minutes", "8-minutes", "full"] = Field(
        "full", description="which length of the script was read"
    )
    lasts: Positive | None = Field(None, description="how many seconds the recording lasts")
