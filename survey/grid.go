package survey

// Grid gives the places of the crossings of a grid. Lines in one direction are letters,
// lines in the other are numbers. With the zero value everything comes from the file.
type Grid struct {
	LetterStep, NumberStep float64               // m, from A to B and from 1 to 2; 0: the sheet gives it
	Origins                map[string][2]float64 // x, y of A1 of a sheet, m, by the text in its corner or the name of its file, in upper case; "" is any sheet. Missing: 0, 0
	Bearings               *GridBearings         // nil: the sheet's heads are distances to the east and north
	Values                 Measure               // kind of the values in the cells; see HasValues
	HasValues              bool
	OthersToo              bool // Origins also name sheets of other files; see [Survey.Sheets]
}

// GridBearings are the directions in which the lines of a grid are counted, in degrees
// clockwise from north (+y).
type GridBearings struct{ Letters, Numbers float64 }
