"""Published facts with their sources, and what was adopted from them. Code here only collects and checks."""
