"""Every check against something written outside this project, with its source beside it."""
