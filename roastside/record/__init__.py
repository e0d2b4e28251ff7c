"""Roast files: the append-only recording, reading it back, and mending a torn one."""
