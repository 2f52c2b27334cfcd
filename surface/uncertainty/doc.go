// Package uncertainty says how far a fill is known: the bounds that the true volume is between,
// what makes them as wide as they are, the ± of a depth anywhere, and where one more reading is
// worth most. Lengths are metres.
//
// # What is not known of a fill
//
// The volume of a triangulated floor is linear in the elevations of its shots, with weights that
// [surface.Floor.FillWeights] gives; those of the elevations fitted at walls are handed on to the
// shots that they were fitted to. So the error of the readings is carried through exactly: σ·√Σw².
// All shots of a set-up share the error of its instrument and benchmark, which moves the whole
// floor: σ·√Σ(Σw)² over set-ups, less what a target that was read from the same set-up shares.
//
// What the floor does between the shots, and between them and the walls, is described as a random
// field about a plane: Matérn covariances of three smoothnesses, scales from below the distance of
// the shots to twice the floor, and a part that each shot has of its own. No one field is chosen.
// Each of 126 is weighed by how well it explains the shots, with plane and variance integrated out
// (universal kriging, as Bayes' rule has it: Handcock and Stein 1993, Technometrics 35:403-410).
// Under each the true volume of the filled part has Student's t distribution about the volume by
// kriging, and the mixture of these gives the bounds. They need not be symmetric about the volume of
// the triangles: across a hollow triangles are too high, and the bounds say so.
//
// Regions with more than 200 measured places are described tile by tile, with some shots round each
// tile, and the tiles' errors count as independent. Of many tiles 16 are looked at, spread evenly.
// On a floor of 190 shots the bounds from 4 tiles are 5 % wider than those of the whole.
//
// # What is not in it
//
// Errors of the outline; a benchmark that is wrong by more than the stated error; a wrong reading
// (see package blunder); fill that goes under a finish which comes out high, or is lost (see package
// order). A step that no line shows is described as rough floor. Regions are taken as independent of
// each other.
//
// # How often it holds
//
// The program in study makes floors of seven kinds, reads them with the errors of a rod or a
// scanner, and counts:
//
//	go run ./surface/uncertainty/study -floors 1000
package uncertainty
