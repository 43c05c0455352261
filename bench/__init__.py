"""Measurements: peers and product on the same work in one run."""
