"""For all tests: where everything is there, nothing may be skipped; how fast a machine is fails nothing."""

import os
from collections.abc import Generator

import pytest
from hypothesis import HealthCheck, settings

# How long an example takes to be drawn or tried is the machine's affair, and what else runs on it.
settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Fail a skipped test where MIDDLEWATCH_NOTHING_SKIPPED is set: in CI whatever is missing is a fault."""
    report = yield
    if report.skipped and not hasattr(report, "wasxfail") and os.environ.get("MIDDLEWATCH_NOTHING_SKIPPED"):
        report.outcome = "failed"
        report.longrepr = f"skipped, where nothing may be: {report.longrepr}"
    return report
