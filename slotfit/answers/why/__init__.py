"""Why a part is not in a receptacle, or what it would cost there."""
