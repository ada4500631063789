// Package book is the firing book: what parts measured green and sintered, firing
// by firing, kept in one file in the user's folder. From it come the shrinkage of
// the shop's own furnace (process.FitShrinkage), densities and creep coupons.
//
// The file is an SQLite database (https://sqlite.org/fileformat2.html) with a
// rollback journal and full synchronisation: a change that was acknowledged
// survives a kill or a power cut, one that was not leaves no trace. Several
// programs may have it open at once; a writer waits for another for some seconds.
// The layout carries a version; an older one is brought up to date after a copy
// was put beside it, a newer one is refused.
//
// Everything goes in and out as plain structs; no SQL leaves the package.
package book
