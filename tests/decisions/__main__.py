"""`python -m tests.decisions NAME [WORKERS]`: run one study of planted cases and write down what it came to."""

from __future__ import annotations

import json
import multiprocessing
import sys
from concurrent.futures import ProcessPoolExecutor
from importlib import import_module
from pathlib import Path
from typing import Any

from sim.compiled import cache_folder

STUDIES = (
    "common_practice", "found_things", "found_in_files", "coverage", "failures", "targets", "wishes", "recovery",
)  # fmt: skip


def run(name: str, workers: int = 2) -> dict[str, Any]:
    """All cases of one study, in order, their summary, and the digest of the compiled model that they were run with."""
    study = import_module(f"tests.decisions.{name}")
    with ProcessPoolExecutor(workers, multiprocessing.get_context("spawn")) as pool:
        rows = []
        for k, row in enumerate(pool.map(study.case, range(study.COUNT))):
            rows.append(row)
            print(f"\r{name}: {k + 1} of {study.COUNT}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    model = cache_folder().name
    return {"study": name, "seed": study.SEED, "model": model, "summary": study.summary(rows), "rows": rows}


if __name__ == "__main__":
    wanted = sys.argv[1]
    found = run(wanted, int(sys.argv[2]) if len(sys.argv) > 2 else 2)
    target = Path(__file__).with_name(f"{wanted}.json")
    target.write_text(json.dumps(found, indent=1) + "\n")
    print(json.dumps(found["summary"], indent=1))
