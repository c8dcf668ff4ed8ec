"""The trade: job files, outlines, metal, the face and its drawings."""

__version__ = "0.1.0"
