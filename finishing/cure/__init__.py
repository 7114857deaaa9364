"""Pure core: climate, rate laws, stages, film, species and the progress of a batch. No I/O, no clock."""
