"""What comes out: tables, documents, calendars, pages, sheets and the terminal. Each draws, none computes."""
