"""The page of the examples in a real browser (Chromium by Playwright), looked over by an accessibility checker."""
