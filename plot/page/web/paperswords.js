// What each paper is for, in the words of who reads it.

const words = [
	[/^pins[.]pdf$/, 'sheet of grade pins for the crew'],
	[/^wall[.]pdf$/, 'to hang on the wall'],
	[/^customer[.]pdf$/, 'one page for the customer'],
	[/^record[.]pdf$/, 'the record to hand over'],
	[/^record[.]html$/, 'the record to read on a screen'],
	[/^takeoff[.]xlsx$/, 'quantities and prices to change'],
	[/^depth[.](pdf|png|svg)$/, 'map of the depths'],
	[/^departures[.](pdf|png|svg)$/, 'map of the new floor against its plane'],
	[/^contours[.](pdf|png|svg)$/, 'map with lines of equal depth'],
	[/^profile.*[.](pdf|png|svg)$/, 'floor and fill along a line'],
	[/^histogram[.](pdf|png|svg)$/, 'how much of the new floor is how far off'],
	[/^straightedge.*[.](pdf|png|svg)$/, 'map of the gaps under the straightedge'],
	[/^worst-gap.*[.](pdf|png|svg)$/, 'the largest gap under the straightedge, from the side'],
	[/^water[.](pdf|png|svg)$/, 'map of ponds on the floor as surveyed'],
	[/^trade-off[.](pdf|png|svg)$/, 'grinding against filling'],
	[/^water-target[.](pdf|png|svg)$/, 'map of ponds on the finished floor'],
	[/^water-after[.](pdf|png|svg)$/, 'map of ponds on the floor after the pour'],
	[/^runs[.](pdf|png|svg)$/, 'map of the runs'],
	[/^pins[.]csv$/, 'grade pins with their places and marks'],
	[/^places[.]csv$/, 'highs and lows of the new floor, by number'],
	[/^plan[.]dxf$/, 'the plan for drawing programs'],
	[/^floor[.]geojson$/, 'the plan for map programs'],
	[/^surface[.]xml$/, 'the surfaces for site programs (LandXML)'],
	[/^result[.]json$/, 'all figures, for programs'],
	[/^flatness[.]json$/, 'figures of the flatness, for programs'],
	[/[.](png|svg)$/, 'map or drawing'],
	[/[.]csv$/, 'table'],
	[/[.]pdf$/, 'map or drawing to print'],
];

// aboutPaper is what a file is for.
export const aboutPaper = name => words.find(([of]) => of.test(name))?.[1] ?? '';

// rank puts the papers of the crew and of the customer first.
export const rank = name => {
	const k = words.findIndex(([of]) => of.test(name));
	return k < 0 ? words.length : k;
};
