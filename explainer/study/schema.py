"""The JSON Schema (draft 2020-12) of study.yaml, written from the models.

Key descriptions are the models' own, so an editor explains each key in the words the project
uses everywhere else.
"""

from __future__ import annotations

import json
from typing import Any

from explainer.study.description.study import Description, Settings

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema(of: type[Description] | type[Settings] = Description) -> dict[str, Any]:
    """The schema as plain data; the same on every run, without an address of its own."""
    return {"$schema": DIALECT, **of.model_json_schema(by_alias=True, mode="validation")}


def schema_text(of: type[Description] | type[Settings] = Description) -> str:
    """The schema as a JSON file, keys sorted."""
    return json.dumps(schema(of), indent=2, sort_keys=True, ensure_ascii=False) + "\n"
