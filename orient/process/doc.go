// Package process holds what a shop knows about its process: the records of
// material, printer and furnace, read from TOML, checked, and kept in the user's
// own folder; and the arithmetic that follows from them alone: oversize factors,
// sintered density, green mass, filament length, debinding hours.
//
// Shrinkage is counted as ASM and the trade count it: s = (green - sintered) /
// green, per axis of the print frame (Z = build direction, axes as in ISO/ASTM
// 52921). The factor that makes a green part of a finished one is 1/(1-s), never
// 1+s (ASM Handbook, powder metallurgy chapter).
//
// Every figure of a record can carry a tag that says how far it is to be
// trusted; see Tag. All values are plain data: copy them freely. Only Library
// keeps state, and it is safe for concurrent use.
package process
