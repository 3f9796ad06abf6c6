"""Part data."""
