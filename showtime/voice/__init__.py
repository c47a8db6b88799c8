"""Sentence -> Clip -> sound."""
