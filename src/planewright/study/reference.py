"""The JSON schema of a study, as kept in the manual: run by ``make reference``."""

from __future__ import annotations

import json

from planewright.study.model import Document


def schema_text() -> str:
    """The schema as JSON text with a line break at its end."""
    return json.dumps(Document.model_json_schema(by_alias=True), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    print(schema_text(), end="")
