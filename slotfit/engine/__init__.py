"""Which part can sit where: openings, training, and the seats that pass the one-seat rules."""
