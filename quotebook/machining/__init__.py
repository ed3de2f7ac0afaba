"""Machining and shop figures as pure functions: numbers in, numbers out; units and source in each docstring.

Estimating figures, not a cutting program: the machine builder, the tool maker and the shop's own safe practice decide.
"""
