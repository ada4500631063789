// Package furnace works out what gravity does to a part while it is soft in the
// sintering furnace: how it sags, tips, leans and drags, and how it should rest.
//
// # What is modelled
//
// For some hours the metal creeps slowly under its own weight, like a very stiff
// honey. As long as displacements are small, creep that is linear in stress gives
// the same shape as elasticity does, with 1/E replaced by the creep compliance J
// and Poisson's ratio by its viscous namesake (the correspondence principle). So
// [Solve] is an elastic finite-element solver: eight-node bricks on a lattice
// (brick.go, modes.go), a multigrid preconditioner (multigrid.go, coarsen.go) for
// conjugate gradients (gradients.go), and one-sided contact with the setter
// (contact.go, friction.go). What else carries the part are props (props.go): supports and
// rafts of its own metal, loose blocks, ceramic; [PutBlocks] finds where ceramic blocks
// are needed (propping.go, underside.go). From its stresses follows whether a small lean grows by
// creep buckling (lean.go, buckling.go). handbook.go has the closed forms it is checked by.
//
// # What is not
//
// Ceramic does not shrink. What it is to carry stands above it as the part goes in and
// comes down onto it. As creep is linear, what the pushes of a block come to over the
// firing holds the place where the block has its top, however they are spread over the
// time: the answer is that of a block that touches from the first (D).
//
// The part keeps one size and one stiffness while it sags: the shrinking that
// goes on meanwhile, gradients of temperature and density, and the change of the
// weight's lever arms as the shape changes are left out. J stands for the whole
// firing and is known within a factor of three or so, until a coupon has been
// measured ([Calibrate]). No text of the project claims validation against a
// furnace. Past a tenth of the span sag is called a collapse.
//
// # Frames and units
//
// Lengths are mm, angles degrees, densities kg/m3, compliances 1/Pa. The furnace
// frame has z up and the setter at z = 0.
package furnace
