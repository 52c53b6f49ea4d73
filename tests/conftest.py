"""For all tests: no time limits of hypothesis, what goes side by side; and where CI is set a skipped test is an error."""

from __future__ import annotations

import os
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# Times differ from machine to machine; what is slow shows in tests/bench, not in a test that fails by chance.
settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")


ONE_BY_ONE = "one by one"
EACH_FOR_ITSELF = {"test_practise_by_sound.py", "test_barge_in.py", "test_without.py", "test_taking_up_again.py"}
"""Long files whose tests share nothing that costs time."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Say which tests stay in one process, where pytest-xdist has several, and in what order they begin.

    Tests marked "real_time", and those on a sound system of their own, go one after another, and begin
    first, since they mostly wait. Of the others those of one file stay together for what they have built. The long
    ones of tests/session come before the quick ones.
    """
    for item in items:
        if "sound_system" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.real_time)

    def rank(item: pytest.Item) -> int:
        return 0 if item.get_closest_marker("real_time") else 1 if item.path.parent.name == "session" else 2

    items.sort(key=rank)
    for item in items:
        if not rank(item):
            item.add_marker(pytest.mark.xdist_group(ONE_BY_ONE))
        elif item.path.name not in EACH_FOR_ITSELF:
            item.add_marker(pytest.mark.xdist_group(f"{item.path.parent.name}/{item.path.name}"))


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Turn a run with skipped tests into a failed one."""
    reporter: Any = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter is not None else []
    if skipped and os.environ.get("CI") and exitstatus == 0:
        reporter.write_line(f"{len(skipped)} skipped: a skipped test is an error here", red=True)
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
