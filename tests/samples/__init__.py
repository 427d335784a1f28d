"""Made-up herds whose true condition is known: the simulation behind `sample_herds/`."""
