"""For all tests: no time limits of hypothesis, what runs side by side, and no skipped test where CI is set."""

from __future__ import annotations

import os
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# Times differ from machine to machine; what is slow shows in tests/bench, not in a test that fails by chance.
settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")


IN_REAL_TIME = {
    "test_devices.py",
    "test_devices_come_and_go.py",
    "test_own_voice.py",
    "test_record.py",
    "test_screen.py",
    "test_speaker_device.py",
    "test_teach.py",
}
"""Files with tests on sound devices, or against the clock: two of them at once would take each other's time."""
EACH_FOR_ITSELF = {"test_barge_in.py", "test_practise_by_sound.py", "test_taking_up_again.py", "test_without.py"}
"""Long files whose tests share nothing that takes long to build."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests in real time begin first, since they mostly wait; the long ones of tests/session come next."""
    for item in items:
        on_devices = "sound_system" in getattr(item, "fixturenames", ())
        assert not on_devices or item.path.name in IN_REAL_TIME, f"{item.path.name} belongs among IN_REAL_TIME"
    items.sort(key=lambda item: 0 if item.path.name in IN_REAL_TIME else 1 if item.path.parent.name == "session" else 2)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """What stays in one process, where pytest-xdist has several: all in real time, and each file for what it builds."""
    from xdist.scheduler import LoadScopeScheduling

    class ByFile(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = nodeid.partition("::")[0]
            name = file.rpartition("/")[2]
            return "in real time" if name in IN_REAL_TIME else nodeid if name in EACH_FOR_ITSELF else file

    config.option.loadscopereorder = False
    return ByFile(config, log)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Turn a run with skipped tests into a failed one."""
    reporter: Any = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter is not None else []
    if skipped and os.environ.get("CI") and exitstatus == 0:
        reporter.write_line(f"{len(skipped)} skipped: a skipped test is an error here", red=True)
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
