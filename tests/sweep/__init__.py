"""How far each figure of the trade moves the advice: an offline tool, not a test."""
