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
    "session/test_devices.py",
    "session/test_devices_come_and_go.py",
    "session/test_own_voice.py",
    "session/test_record.py",
    "session/test_record_prompts.py",
    "session/test_screen.py",
    "speaking/test_speaker_device.py",
    "session/test_teach.py",
}
"""Files with tests on sound devices, or against the clock: two of them at once would take each other's time."""
EACH_FOR_ITSELF = {
    "session/test_barge_in.py",
    "session/test_practise_by_sound.py",
    "session/test_taking_up_again.py",
    "session/test_without.py",
}
"""Long files whose tests share nothing that takes long to build."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests in real time are marked, and begin first; the long ones of tests/session come next."""
    for item in items:
        on_devices = "sound_system" in getattr(item, "fixturenames", ())
        in_real_time = _file(item.nodeid) in IN_REAL_TIME
        assert in_real_time or not on_devices, f"{_file(item.nodeid)} belongs to IN_REAL_TIME"
        if in_real_time:
            item.add_marker(pytest.mark.real_time)
    items.sort(key=_turn)


def _turn(item: pytest.Item) -> int:
    return 0 if _file(item.nodeid) in IN_REAL_TIME else 1 if item.path.parent.name == "session" else 2


def _file(nodeid: str) -> str:
    """The file of a test, with its folder."""
    return "/".join(nodeid.partition("::")[0].split("/")[-2:])


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """What stays in one process, where pytest-xdist has several: all in real time, and each file for what it builds."""
    from xdist.scheduler import LoadScopeScheduling

    class ByFile(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = _file(nodeid)
            return "in real time" if file in IN_REAL_TIME else nodeid if file in EACH_FOR_ITSELF else file

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
