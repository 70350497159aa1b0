"""A job as the stages see it: what ``job.toml`` says, and where each word of it stands."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from cutpath.errors import InputError, Source
from cutpath.settings.job_file import Finish, Finishes, JobFile
from cutpath.settings.toml_file import checked, dotted, line_of, parsed, read_text


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """What was written about a drawing. ``file`` and ``text`` are empty without a job file.

    ``drawing`` is the drawing's path, None when neither file nor caller named one; ``folder`` is
    the job file's.
    """

    said: JobFile
    drawing: Path | None
    file: str = ""
    text: str = ""
    folder: Path | None = None

    @property
    def name(self) -> str:
        """Give the job's name: as written, else the drawing's file name."""
        return self.said.name or (self.drawing.stem if self.drawing else "job")

    def place(self, *path: str | int) -> Source:
        """Give where the key ``path`` stands in the job file."""
        line = line_of(self.text, path) if self.text else None
        return Source(file=self.file, line=line, key=dotted(path))


def read_job(path: Path, drawing: Path | None = None) -> Job:
    """Read and check the job file at ``path``; its drawing is looked for beside it.

    ``drawing`` is where it lies otherwise.

    Raises InputError for every mistake, with line, key and what would be right.
    """
    text = read_text(path)
    said = checked(parsed(text, path.name), text, path.name, JobFile)
    if drawing is None and said.drawing:
        drawing = path.parent / said.drawing
    job = Job(said, drawing, path.name, text, path.parent)
    if drawing is None:
        raise InputError(
            "the job names no drawing", Source(file=path.name), 'Add a line drawing = "hood.dxf".'
        )
    if not drawing.is_file():
        raise InputError(
            f"there is no drawing '{said.drawing}' beside the job",
            job.place("drawing"),
            "Check the name; it is looked for in the job file's own folder.",
        )
    return job


def default_job(allowance: float, drawing: Path | None = None) -> Job:
    """Give the job of a bare drawing: every edge plain, ``allowance`` mm wide.

    Raises InputError for an allowance below 0.
    """
    if allowance < 0:
        raise InputError("the allowance is negative", remedy="Give 0 or more.")
    return Job(JobFile(finishes=Finishes(plain=Finish(width=allowance))), drawing)


def job_schema() -> str:
    """Give the JSON Schema of job files, for editors; the same text as ``job.schema.json``."""
    schema = JobFile.model_json_schema(by_alias=True)
    properties = schema["$defs"]["Finishes"]["properties"]
    for field in properties.values():
        _take_short_form(field, ["string", "number"])
    for field in ("PanelEntry",):
        _take_short_form(
            schema["$defs"][field]["properties"]["edges"]["additionalProperties"], ["string"]
        )
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "cutpath job"
    return json.dumps(schema, indent=2, ensure_ascii=False, sort_keys=True) + "\n"


def _take_short_form(field: dict[str, object], kinds: list[str]) -> None:
    """Let a table's short form (a length, a finish) stand beside the table."""
    reference = field.pop("$ref")
    field["anyOf"] = [{"$ref": reference}, *({"type": kind} for kind in kinds)]
