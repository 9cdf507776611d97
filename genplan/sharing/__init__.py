"""What is handed on: one adult's part of the kept weeks, and a copy of a case in which nobody can be known."""
