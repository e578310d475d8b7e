"""The project folder: reading it whole, and starting one."""

from planewright.project.loading import AEROPLANE, KNOWLEDGE, evidence_hash, inputs_hash, load
from planewright.project.model import Project
from planewright.project.starting import example_files, example_names, new_project

__all__ = [
    "AEROPLANE",
    "KNOWLEDGE",
    "Project",
    "evidence_hash",
    "example_files",
    "example_names",
    "inputs_hash",
    "load",
    "new_project",
]
