"""A case as tables that people fill in: sheets of a workbook or a folder of CSV."""
