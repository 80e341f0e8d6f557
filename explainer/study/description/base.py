"""Shared ground of all models: frozen, no unknown keys, and the small types many blocks use."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from explainer import units
from explainer.study.blocks import few_blocks
from explainer.study.unseen import blank

Id = Annotated[
    str, Field(pattern=r"^[a-z0-9][a-z0-9-]*$", max_length=60, description="lower case, digits, -")
]


def _shows(text: str) -> str:
    if blank(text):
        raise ValueError("text that shows")
    return text


Text = Annotated[str, Field(min_length=1, max_length=20_000), AfterValidator(_shows),
                 AfterValidator(few_blocks)]  # fmt: skip
Name = Annotated[str, Field(min_length=1, max_length=120), AfterValidator(_shows)]
#: Sizes between which every number lies that anybody measures; beyond them arithmetic overflows.
SMALLEST, LARGEST = 1e-15, 1e15
SIZED = f"a number between {SMALLEST:g} and {LARGEST:g} in size, or 0"


def _sized(value: float) -> float:
    if value and not SMALLEST <= abs(value) <= LARGEST:
        raise ValueError(SIZED)
    return value


Positive = Annotated[
    float, Field(gt=0, allow_inf_nan=False, strict=True), AfterValidator(_sized)
]
NotNegative = Annotated[
    float, Field(ge=0, allow_inf_nan=False, strict=True), AfterValidator(_sized)
]
Finite = Annotated[float, Field(allow_inf_nan=False, strict=True), AfterValidator(_sized)]
Whole = Annotated[int, Field(ge=1, strict=True)]
#: A unit under its own name, whatever its spelling in the file; whether it is known is checked
#: later, where its place can be told.
UnitName = Annotated[Name, AfterValidator(units.canonical)]
#: In YAML 1.2 `yes` and `no` are words; here they are read as what their writer meant.
YesNo = Annotated[
    Annotated[bool, Field(strict=True)] | Literal["yes", "no"],
    AfterValidator(lambda value: value in (True, "yes")),
]
#: One checkpoint, or the first and last of a window over which an item's mean is taken.
Checkpoint = Finite | tuple[Finite, Finite]


#: Rows to read: the column, and the value that stands in it.
Only = Annotated[
    dict[Name, str | Finite], Field(min_length=1, description="column: value; all must hold")
]


class Block(BaseModel):
    """A block of study.yaml.  Frozen, so that no later stage can change what the author wrote."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=True, strict=False, defer_build=True
    )


class Reading(Block):
    """A figure or a test: a block whose keys name columns of a table.

    What the columns are for stands beside the keys, so that a new kind is read, checked and
    listed by what its own block says.
    """

    sorting: ClassVar[tuple[str, ...]] = ()
    """Keys of columns that hold words: who, which group, under what condition."""
    numbering: ClassVar[tuple[str, ...]] = ()
    """Keys of columns that number rows: orders and repeats."""
    counting: ClassVar[tuple[str, ...]] = ()
    """The keys of successes and attempts, where the block counts."""
    other_columns: ClassVar[tuple[str, ...]] = ()
    """Keys of columns with numbers of their own, such as feet down the lane."""

    @classmethod
    def column_keys(cls) -> tuple[str, ...]:
        """Every key whose value must be a column of the block's table."""
        return (*cls.sorting, *cls.numbering, *cls.counting, *cls.other_columns)

    def named(self, keys: tuple[str, ...]) -> tuple[str, ...]:
        """The columns that stand under ``keys``."""
        return tuple(name for key in keys if isinstance(name := getattr(self, key), str))


# What all tests of claims share: the block itself, and x or y with its table.

UpDown = Literal["up", "down", "any"]


class Operand(Block):
    """A measure in a named table, where x and y stand in two."""

    table: Name = Field(description="the table")
    measure: Name = Field(description="the measure")


XY = Name | Operand


class ClaimTest(Reading):
    """What all tests share."""

    conditions: ClassVar[tuple[str, ...]] = ()
    """Keys whose values must stand in the column named by ``by``, each another one."""
    several: ClassVar[bool] = False
    """It asks how items differ or change, and so needs more than one."""
    of_one: ClassVar[bool] = False
    """Where ``only`` leaves one item, it can be asked of that one, held to the gauge."""
    without_each: ClassVar[bool] = False
    """It is worked out again without each of its items, to see whether one carries it."""
    needs_margin: ClassVar[bool] = False
    """Without a smallest size that matters it can say less."""
    margin_key: ClassVar[str] = "margin"
    """Where it may say a size of its own, in place of the smallest that matters."""
    sentences: ClassVar[tuple[tuple[str, str], ...]] = ()
    """Sentences as a report may say them, and what tells this kind from its neighbors."""
    of_people: ClassVar[str] = ""
    """Such a sentence where what counts as one is a person; empty where none is said of people."""
    cues: ClassVar[tuple[tuple[str, int], ...]] = ()
    """Words such sentences are known by (patterns in lower case; numbers are digits), and how much
    each says for the kind, or against it (``study/which_test.py``)."""

    table: Name | None = Field(None, description="the table, if the measure stands in several")
    only: Only | None = Field(
        None,
        description="column: value, to test on those rows alone; where one item is left, the claim "
        "is about that one, and held to the gauge",
    )

    @property
    def own_margin(self) -> float | None:
        """The size that it says itself; None where it says none."""
        own: float | None = getattr(self, self.margin_key, None)
        return own
