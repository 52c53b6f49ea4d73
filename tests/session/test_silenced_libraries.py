"""Standard error while sound libraries are kept silent."""

from __future__ import annotations

import subprocess
import sys

from session_program import PROJECT

PROGRAM = """
import os, sys
from companion.session.silenced_libraries import silenced_libraries
with silenced_libraries():
    os.write(2, b"library\\n")
    print("python \\u2014", file=sys.stderr)
os.write(2, b"library afterwards\\n")
print("python afterwards", file=sys.stderr)
"""


def test_only_python_writes_there():
    done = subprocess.run([sys.executable, "-c", PROGRAM], cwd=PROJECT, capture_output=True, check=True)
    assert done.stderr.decode().splitlines() == ["python \u2014", "library afterwards", "python afterwards"]


def test_without_any_standard_error_it_does_no_harm():
    program = (
        "from companion.session.silenced_libraries import silenced_libraries as quiet\nwith quiet(): print('works')"
    )
    done = subprocess.run(
        ["/bin/sh", "-c", f'exec {sys.executable} -c "$0" 2>&-', program], cwd=PROJECT, capture_output=True, check=True
    )
    assert done.stdout == b"works\n"
