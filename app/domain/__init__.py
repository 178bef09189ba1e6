"""Pure values and functions of the trade: no database, web, file, clock or randomness that is not passed in."""
