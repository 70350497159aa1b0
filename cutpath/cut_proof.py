"""What ``proof.json`` tells of a job that was cut: every file's proof, and the worst of them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from cutpath.cut_file import CutFile
from cutpath.intake.size_check import drawing_size
from cutpath.planning import Planned, Request
from cutpath.settings.profile import Profile


def whole_proof(
    files: Sequence[CutFile], planned: Planned, profile: Profile, request: Request
) -> dict[str, Any]:
    """Put the files' proofs together: the worst of each tool stands at the top."""
    proofs = [file.written.proof.as_dict() for file in files]
    worst = max(proofs, key=_strain)
    tools: dict[str, Any] = {}
    for proof in proofs:
        for name, tool in proof["tools"].items():
            if name not in tools or _strain(tool) > _strain(tools[name]):
                tools[name] = tool
    width, height = drawing_size(planned.drawing)
    drawing = planned.job.drawing
    return {
        "passed": all(proof["passed"] for proof in proofs),
        "deviation_mm": worst["deviation_mm"],
        "tolerance_mm": worst["tolerance_mm"],
        "time_s": round(sum(file.written.clock.total for file in files), 1),
        "tools": tools,
        "job": planned.job.name,
        "machine": profile.name,
        "options": {
            "allowance_mm": request.allowance,
            "units": request.units,
            "join_mm": request.join,
        },
        "drawing": {
            "file": planned.drawing.file,
            "unit": planned.drawing.unit,
            "width_mm": round(width, 3),
            "height_mm": round(height, 3),
        },
        "sha256": {
            "job": _digest(request.source.read_bytes()),
            "drawing": _digest(drawing.read_bytes()) if drawing else None,
            "profile": profile.digest(),
        },
        "files": [
            {
                "file": file.name,
                "run": file.run_name,
                "picture": file.picture_name,
                "tip_picture": file.tip_picture_name if file.tip_picture else None,
                "cloth": file.load.cloth,
                "load": file.load.number,
                "pieces": [piece.name for piece in file.load.pieces],
                "time_s": round(file.written.clock.total, 1),
                "tool_time_s": file.written.clock.as_dict(),
                "effort": file.effort,
                **proof,
            }
            for file, proof in zip(files, proofs, strict=True)
        ],
    }


def _strain(proof: dict[str, Any]) -> float:
    deviation, tolerance = proof["deviation_mm"], proof["tolerance_mm"]
    if deviation is None:
        return float("inf")
    return float(deviation) / float(tolerance) if tolerance else float(deviation)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
