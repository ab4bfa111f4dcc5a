"""The best plan of several tracts under one owner, with what ties them together, proven to a stated gap."""
