"""Offline: many published observations become one adopted value, by stated rules. Never part of a request."""
