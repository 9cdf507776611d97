"""From what is owed and who can meet where and when to the plan of a week."""
