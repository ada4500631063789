// Package load lays out several parts on a plate or a setter: outlines as they are seen
// from above, at any turn about Z, a gap apart, on as few beds as it finds. It knows
// nothing of printing and of furnaces.
//
// Outlines are sets of edges with the part on their left, holes and all; lengths are mm,
// angles degrees, counter-clockwise. A raster proposes places, on the safe side of the
// gap; then a part slides down and to the left until it touches; and what is handed over
// has been checked edge against edge. Copies of one part are laid in rows too, straight or
// staggered, which is the hexagonal packing for discs. Work is counted and never timed, and
// the same request gets the same layout on any number of cores.
package load
