"""Which part can sit where: offers, training, and the seats that pass the one-seat rules."""
