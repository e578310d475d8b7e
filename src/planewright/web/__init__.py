"""The page's server: one project folder on this machine only, its files the only truth."""
