"""For all tests: no time limits of hypothesis, and a skipped test is an error where CI is set."""

from __future__ import annotations

import os
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# Times differ from machine to machine; what is slow shows in tests/bench, not in a test that fails by chance.
settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Turn a run with skipped tests into a failed one."""
    reporter: Any = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter is not None else []
    if skipped and os.environ.get("CI") and exitstatus == 0:
        reporter.write_line(f"{len(skipped)} skipped: a skipped test is an error here", red=True)
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
