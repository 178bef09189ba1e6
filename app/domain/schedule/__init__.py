"""When the work is done: activities with links, working days, crews, and how sure a finish is."""
