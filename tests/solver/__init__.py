"""Tests of the solver."""
