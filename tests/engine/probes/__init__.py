"""Formulas with answers from outside, to score the engine by."""
