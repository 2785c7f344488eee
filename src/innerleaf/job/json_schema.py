"""The JSON Schema of the job file, so that editors complete and check what people type."""

from __future__ import annotations

import json

from innerleaf.job.schema import JobFile


def job_schema_text() -> str:
    """The schema as it lies in ``schema/job.schema.json``; a test holds the two together."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **JobFile.model_json_schema()}
    return json.dumps(schema, indent=1, ensure_ascii=False, sort_keys=True) + "\n"
