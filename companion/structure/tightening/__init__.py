"""Strands drawn tight: elastic lines of given thickness that can't cross, relaxed under tension until they touch."""
