package survey

// Setup is the level in one place.
type Setup struct {
	Name string
	HI   float64 // height of instrument, m
}

// Book is what the rod readings of one or more set-ups came to.
type Book struct {
	Setups     []Setup
	Benchmark  string  // the one the elevations hang on
	Elevation  float64 // of Benchmark, m
	SumBS      float64 // m
	SumFS      float64 // m
	Misclosure float64 // m, observed less known, on the closing sight; NaN when the book does not close
	Closing    string  // benchmark of the closing sight
}
