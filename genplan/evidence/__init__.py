"""What was run, and what it says of each combination: results.csv -> log -> standing, maintenance due."""
