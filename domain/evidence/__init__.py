"""Many published observations become one adopted value, by stated rules."""
