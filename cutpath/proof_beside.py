"""The proof that lies beside a machine file of what was left of a job, so that it may be sent.

Part of the pipeline: it joins the run with what reads its bytes back.
"""

from __future__ import annotations

import json
from pathlib import Path

from cutpath.delivery import PROOF
from cutpath.errors import InputError, Source
from cutpath.proving import prove_bytes
from cutpath.run_model import Run


def proof_beside(run: Run) -> bytes:
    """Give the text of a proof of ``run`` alone. Raises as ``proving.prove_bytes`` does."""
    toolpaths = [stroke.toolpath for stroke in run.strokes]
    facts = prove_bytes(run.data, toolpaths, run.profile).proof.as_dict()
    told = {
        "passed": facts["passed"],
        "job": run.job,
        "machine": run.profile.name,
        "sha256": {"profile": run.profile.digest()},
        "files": [
            {"file": run.name, "cloth": run.cloth, "pieces": list(run.pieces),
             "time_s": round(run.seconds, 1), **facts}
        ],
    }  # fmt: skip
    return (json.dumps(told, indent=2, ensure_ascii=False) + "\n").encode()


def require_no_proof(folder: Path) -> None:
    """Raise InputError where ``folder`` holds a proof of other files, which would be lost."""
    if (folder / PROOF).exists():
        raise InputError(
            "the proof of other files lies here, and would be written over",
            Source(file=str(folder / PROOF)),
            "Choose a folder of its own with --out.",
        )
