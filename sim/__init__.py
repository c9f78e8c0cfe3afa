"""drytank: the test tank without the water, for people who make fishing lures at home."""

__version__ = "0.1.0"
