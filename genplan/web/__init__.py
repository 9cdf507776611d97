"""The local page: a small server on this machine alone, over the same verbs as the command line."""
