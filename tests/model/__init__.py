"""Tests of the shop profile and the job as data."""
