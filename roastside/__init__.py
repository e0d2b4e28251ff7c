"""roastside: the companion that stands beside a small coffee roaster."""

__version__ = "0.1.0"
