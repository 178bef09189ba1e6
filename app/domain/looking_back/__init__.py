"""What the firm's jobs say once they are many: of its rates, its offers, its money, its crews."""
