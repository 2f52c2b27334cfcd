// Package blunder looks for wrong readings and reports what each looks like: a foot or an
// inch misread, digits transposed, two points exchanged, the instrument knocked. It corrects
// nothing.
//
// Each shot is predicted from all others by universal kriging: a plane and a Gaussian
// covariance. Its reach, own part and sill are those that predict the shots best (without
// the worst tenth), region by region and never across a step. The worst shot is set aside
// before the others are predicted again. For each shot set aside the possible causes are
// weighed by Bayes' rule: sound after all, each slip that the written text can come from,
// the readings of two rows exchanged, the row before copied, the rod on rubble, none of
// these. A real hump or hollow is weighed beside them. It raises the shots around as well:
// one that several shots support is not a slip. A cause that is four times as likely as the
// rest is named. If two slips that mean different elevations come closer, both are reported
// and none is named. Up to 60 mm, where a real hump between the other shots would read the
// same, a finding is marked as a doubt.
//
// # How often it is right
//
// Simulated books of 60 to 150 shots on a grid of 1.2 to 3 m (4 to 10 ft), walked back and
// forth. Floors have a tilt, a dish up to 15 mm, waves of 4 to 5 mm standard deviation about
// 15 m long (smooth) or 6 m (wavy), and 1.2 mm roughness. They are read with an error of 1
// mm, to 1/16 in, 0.01 ft or 1 mm. Each book has one slip, of at least 3/4 in if its size is
// random. The columns are: how many books can have it, in how many the row is seen, and in
// how many it is seen and named rightly. Seeds 9,000,001 to 9,000,400, which were not used
// to choose anything:
//
//	go test pourplane/surface/blunder -run TestRates -v -args -books 400
//
//	                                      smooth, seen, named    wavy, seen, named
//	one foot, ft-in                        400: 100.0 % 100.0 %   400: 100.0 % 100.0 %
//	one foot, decimal feet                 400: 100.0 % 100.0 %   400: 100.0 % 100.0 %
//	one inch, ft-in                        400: 100.0 %  98.8 %   400:  94.8 %  90.5 %
//	100 mm, metres                         400: 100.0 %  99.8 %   400: 100.0 %  99.2 %
//	one metre, metres                      400: 100.0 % 100.0 %   400: 100.0 % 100.0 %
//	digits transposed, ft-in               101: 100.0 % 100.0 %   103: 100.0 %  99.0 %
//	digits transposed, decimal feet        400:  99.8 %  99.5 %   400:  99.2 %  98.5 %
//	digits transposed, metres              400: 100.0 %  98.0 %   400:  99.5 %  92.0 %
//	digit dropped, ft-in                   396:  99.5 %  22.7 %   400:  88.8 %  23.8 %
//	digit misread, ft-in                   211: 100.0 % 100.0 %   214: 100.0 % 100.0 %
//	digit misread, metres                  357:  99.7 %  93.0 %   366:  96.2 %  83.1 %
//	millimetres among metres               400: 100.0 % 100.0 %   400: 100.0 % 100.0 %
//	inches among decimal feet              400: 100.0 %  99.8 %   400: 100.0 %  99.8 %
//	points swapped, metres                  12: 100.0 % 100.0 %   118:  28.0 %  24.6 %
//	reading copied, metres                  12:  83.3 %  83.3 %   118:  30.5 %  30.5 %
//	rod on rubble, metres                  400:  99.2 %  88.5 %   400:  89.5 %  76.0 %
//	knocked by 3/8 in, closed, ft-in       400:  99.5 %  99.2 %   400:  96.5 %  96.5 %
//	knocked by 3/8 in, not closed, ft-in   400:  41.5 %  41.0 %   400:   4.0 %   3.8 %
//	false alarms a clean book, ft-in       400:           0.000   400:           0.000
//	false alarms a clean book, dec. feet   400:           0.000   400:           0.000
//	false alarms a clean book, metres      400:           0.000   400:           0.000
//
// The same floors with one real hump or hollow each, round, 20 to 45 mm high and 0.4 to 2 m
// in standard deviation, and no slip: in how many books a shot is flagged that another shot
// supports by at least a third, and in how many one that is alone, which nothing in the book
// can distinguish from a slip. All of those are doubts:
//
//	go test pourplane/surface/blunder -run TestHumps -v -args -books 400
//
//	                                      smooth, several, alone wavy, several, alone
//	real hump, flagged, ft-in              400:   1.0 %  11.2 %   400:   3.2 %  11.5 %
//	real hump, flagged, dec. feet          400:   1.2 %   7.0 %   400:   1.0 %   5.2 %
//	real hump, flagged, metres             400:   1.0 %   9.8 %   400:   2.8 %   6.8 %
//
// An instrument that moved counts as named when the row is within the reported range. The
// books used to choose the thresholds gave 3 false alarms in 600 clean ones, all on wavy
// floors. An inch on a wavy floor misses the required 95 %: between shots 3 m apart waves of
// 6 m hide it. A digit dropped from a fraction is seen and seldom named, because 11/16,
// 13/16 and 15/16 fit 1/16 equally well.
//
// Before all this each list of rod readings is searched for a row from which all elevations
// are shifted by 15 mm or more: the laser was moved and no row records it. A shift that a
// step of the floor explains is not reported: all later shots, or all earlier ones, then have
// an area of their own. That hides a move at the end of a row walked, too. The same books,
// 600 smooth and 600 wavy, moved by 40 to 240 mm somewhere in the middle half: 86 % found,
// all at the right row; clean books with an alarm: 0 of 1200. Clean books with a slope, a
// step or a pit, 100 of each of ten kinds: 0 alarms.
//
//	go test pourplane/surface/blunder -run TestLeap -v -args -books 600
//
// # What it does not see
//
// Slips below about 3/4 in on a wavy floor. Blunders in half of the readings of a piece of
// floor, such as rows booked one place late at a hump: there everything looks rough. A whole
// region upside down, or all of it shifted by one amount. Small jumps of the instrument if
// no benchmark is read again. Several whole units at once, such as two inches, are not a
// separate kind. Surveys of more than 100,000 shots are not checked. In a
// region of fewer than 12 only one shot that is more than 50 mm from the plane of all
// others is found, as [Lone], if these are within a quarter of that.
package blunder
