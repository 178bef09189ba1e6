"""Files in and out: job file, library and price book, spreadsheet and calendar."""
