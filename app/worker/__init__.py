"""The command that runs heavy work: started fresh, values in, bytes out."""
