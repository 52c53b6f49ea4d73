"""What the checks against outside sources share: the tables of what is said of cords, and the words for patterns."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
