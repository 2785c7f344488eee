"""Write the JSON schemas again from the code they describe: `make schemas`."""

from __future__ import annotations

import json
from pathlib import Path

from innerleaf.handover_case import handover_schema
from innerleaf.job.json_schema import job_schema_text
from innerleaf.plan_file import plan_schema
from innerleaf.revise_case import revision_schema

SCHEMAS = Path(__file__).parents[1] / "schema"


def main() -> None:
    """Write all schemas."""
    (SCHEMAS / "job.schema.json").write_text(job_schema_text(), encoding="utf-8", newline="\n")
    for name, schema in (
        ("plan", plan_schema()),
        ("revision", revision_schema()),
        ("handover", handover_schema()),
    ):
        text = json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
        (SCHEMAS / f"{name}.schema.json").write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
