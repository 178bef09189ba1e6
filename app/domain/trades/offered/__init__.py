"""What each trade offers to be worked out alone: the calculations by trade, declared beside the functions they call."""
