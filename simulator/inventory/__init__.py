"""Trees measured in the woods: what stands on an acre, how sure that is, and the stand a scenario starts from."""
