"""Tests that a bad file ends in one plain refusal, never in a crash."""
