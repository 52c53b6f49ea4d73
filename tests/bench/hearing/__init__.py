"""How well an ear hears, how quickly, at what cost, and what it takes for a command that is none. See __main__.py."""
