"""The database: sessions, tables by area, repositories by area, files by content, backup."""
