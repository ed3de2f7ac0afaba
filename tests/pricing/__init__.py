"""Tests of the reference price."""
