package survey

// Grid says where the crossings of a grid lie, whose lines are letters one way and
// numbers the other. The zero value asks the file for everything.
type Grid struct {
	LetterStep, NumberStep float64               // m, from A to B and from 1 to 2; 0: the sheet says
	Origins                map[string][2]float64 // of A1 of a sheet, m, by the text in its corner or the name of its file, in upper case; "" is any sheet. Without: 0, 0
	Bearings               *GridBearings         // nil: the sheet's heads are distances to the east and north
	Values                 Measure               // what the cells hold; see HasValues
	HasValues              bool
	OthersToo              bool // Origins are also of sheets in files that are read apart; see [Survey.Sheets]
}

// GridBearings are the directions in which the lines of a grid are counted, in
// degrees clockwise from north (+y).
type GridBearings struct{ Letters, Numbers float64 }
