// Package render draws: candidates as pictures (rasterised by fauxgl), charts
// (gonum/plot) and the sheet that goes with the part through the shop (PDF).
//
// A Scene holds one candidate on one machine, the printer's plate or the
// furnace setter, prepared once; Frame then draws it from any camera. The view
// is parallel, so that one millimetre has one length everywhere in a picture
// and two scenes drawn with the same Shot.MMPerPixel can be compared by eye:
// the shrinkage is seen and not only read.
//
// Pixels count from the top left, x right and y down. Nothing here knows of
// windows. Pictures are the same on any number of cores.
package render
