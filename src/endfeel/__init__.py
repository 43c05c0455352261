"""Endfeel supports the hands-on examination of the shoulder girdle."""

__version__ = "0.1.0"
