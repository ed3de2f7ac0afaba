"""Distributions of probability."""
