"""One JSON schema of all records that cross the wire; the page's types are generated from it.

``python -m planewright.web.schema`` prints it.
"""

from __future__ import annotations

import json
from typing import Any

from pydantic.json_schema import models_json_schema

from planewright.web.api import TYPES


def schema() -> dict[str, Any]:
    """JSON schema with every record under ``$defs``; keys as on the wire (``schema``, not ``schema_``)."""
    _, whole = models_json_schema(
        [(one, "serialization") for one in TYPES], by_alias=True, title="Planewright page"
    )
    names = sorted(one.__name__ for one in TYPES)
    return {**whole, "type": "object", "properties": {one: {"$ref": f"#/$defs/{one}"} for one in names}}


if __name__ == "__main__":
    print(json.dumps(schema(), indent=1, ensure_ascii=False, sort_keys=True))
