"""What was run, and what it says of each combination: results.csv -> log -> standing, and maintenance that is due."""
