"""What a class works on, and what becomes of it: misconceptions as data, and the proofreading of worked notes."""
