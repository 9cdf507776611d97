"""What people were told of a week: kept under `weeks/`, compared with a new plan, told anew."""
