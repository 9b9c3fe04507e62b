"""Published facts with their sources, and what was adopted from them. Data first; code here only collects and checks."""
