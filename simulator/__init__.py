"""The stand, the light, the pasture, the herd, the wood, the ledger and the finance of one piece of land."""
