"""The table of keys as a JSON Schema (draft 2020-12), for editors: words beside each key, and a mark under what no case
may say. What only the whole case decides, such as whether an id is there, is for `check`."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from genplan.casefile.keys import WHOLE

SCHEMA_FILE = "case.schema.json"
DRAFT = "https://json-schema.org/draft/2020-12/schema"
ABOUT = "One file of a case. A case may stand in several files, so no file must hold every key."


def case_schema() -> dict[str, Any]:
    keys = {name: part for name, part in WHOLE.schema.items() if name != "required"}
    return {"$schema": DRAFT, "title": "A case", "description": ABOUT, **keys, "type": ["object", "null"]}


@cache
def schema_text() -> str:
    return json.dumps(case_schema(), indent=1, ensure_ascii=False) + "\n"
