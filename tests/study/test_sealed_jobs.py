"""Whole jobs, sealed and scored, over fewer of them."""

from __future__ import annotations

import runpy
from pathlib import Path


def test_what_is_measured_is_true_and_most_intervals_hold(tmp_path):
    jobs = runpy.run_path(str(Path(__file__).parent / "sealed_jobs.py"))["jobs"]
    found = [job for job in jobs(3, "A", 4, 41, tmp_path) if job.told]
    assert len(found) >= 2
    assert all(job.told["measured_low"] < job.true < job.told["measured_high"] for job in found)
    assert sum(job.told["inside"] for job in found) >= 2
