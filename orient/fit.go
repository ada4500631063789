package orient

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/process"
)

// fitting is how the part goes onto a plate or setter, turned about Z as it has the
// most room.
type fitting struct {
	// fill is the larger share of a side that it takes, high of the height.
	fill, high float64
	// turn is by how much it has to be turned about Z to fit, radians; 0 where it
	// fits as it stands, or not at all.
	turn float64
	// record names another record that it would fit; empty where it fits, and where
	// none does.
	record string
}

// roundOff is by how much a part may be larger than the room for rounding.
const roundOff = 1e-9

func (f fitting) fits() bool { return f.fill <= 1+roundOff && f.high <= 1+roundOff }

func (f fitting) rule() ruling {
	if f.fits() {
		return ruling{Passed, 0}
	}
	return ruling{Failed, max(f.fill, f.high) - 1}
}

// room is what a printer or a furnace gives.
type room struct {
	name   string
	area   [2]float64
	height float64
}

func plateOf(p *process.Printer) room { return room{recordName(p.ID, p.Name), p.PlateMM, p.HeightMM} }

func setterOf(f *process.Furnace) room {
	return room{recordName(f.ID, f.Name), f.SetterMM, f.HeightMM}
}

// recordName is what a record is asked for by.
func recordName(id, name string) string {
	if id != "" {
		return id
	}
	return name
}

// plateFit fits the green part on the plate; linear takes the part frame to the
// print frame, oversize included. The record's plate is what clips and brim leave.
func (b *Brief) plateFit(hull []r3.Vec, linear mesh.Matrix) (f fitting, size r3.Vec) {
	others := make([]room, len(b.OtherPrinters))
	for i := range b.OtherPrinters {
		others[i] = plateOf(&b.OtherPrinters[i])
	}
	return fitRoom(hull, linear, plateOf(&b.Printer), others)
}

// setterFit fits the green part on the setter: it goes in before it shrinks, and
// shrinking draws its ends inwards, so no margin is needed for its travel.
func (b *Brief) setterFit(hull []r3.Vec, linear mesh.Matrix) (f fitting, size r3.Vec) {
	others := make([]room, len(b.OtherFurnaces))
	for i := range b.OtherFurnaces {
		others[i] = setterOf(&b.OtherFurnaces[i])
	}
	return fitRoom(hull, linear, setterOf(&b.Furnace), others)
}

// fitRoom fits the hull as linear has it into a room, else finds the smallest of the
// others that it fits; size is that of its box.
func fitRoom(hull []r3.Vec, linear mesh.Matrix, r room, others []room) (f fitting, size r3.Vec) {
	points := make([]r3.Vec, len(hull))
	for i, v := range hull {
		points[i] = linear.MulVec(v)
	}
	size = sizeOf(points)
	if f = r.fitBox(size); f.fits() {
		return f, size
	}
	outline := shadowOf(points)
	if f = r.fitOutline(outline, size.Z); f.fits() {
		return f, size
	}
	smallest := math.Inf(1)
	for _, o := range others {
		area := o.area[0] * o.area[1]
		if area < smallest && (o.fitBox(size).fits() || o.fitOutline(outline, size.Z).fits()) {
			f.record, smallest = o.name, area
		}
	}
	return f, size
}

// fitBox fits a box along the axes as it stands.
func (r room) fitBox(size r3.Vec) fitting {
	return fitting{fill: max(size.X/r.area[0], size.Y/r.area[1]), high: size.Z / r.height}
}

// fitOutline fits an outline turned as it has the most room.
func (r room) fitOutline(outline []r2.Vec, height float64) fitting {
	in := mesh.FitInto(outline, r.area[0], r.area[1])
	f := fitting{fill: in.Fill, high: height / r.height}
	if f.fits() {
		f.turn = in.Turn
	}
	return f
}

// poseToFit is poseFor, turned further about Z where the part fits plate and setter,
// or one of them, only so: otherwise flat sides stay parallel to the axes.
func (b *Brief) poseToFit(up r3.Vec, hull []r3.Vec, oversize r3.Vec) Pose {
	p, _ := poseFor(up, hull, oversize)
	return b.turnToFit(p, hull)
}

// turnToFit turns a pose about Z where it does not fit as it stands.
func (b *Brief) turnToFit(p Pose, hull []r3.Vec) Pose {
	points := make([]r3.Vec, len(hull))
	for i, v := range hull {
		points[i] = p.Rotation.MulVec(v)
	}
	size := sizeOf(points)
	// Turning comes before oversizing: the room is taken at finished size instead.
	o := p.Oversize
	finished := func(r room) room {
		return room{area: [2]float64{r.area[0] / o.X, r.area[1] / o.Y}, height: math.Inf(1)}
	}
	plate, setter := finished(plateOf(&b.Printer)), finished(setterOf(&b.Furnace))
	if plate.fitBox(size).fits() && setter.fitBox(size).fits() {
		return p
	}
	both := room{
		area:   [2]float64{min(plate.area[0], setter.area[0]), min(plate.area[1], setter.area[1])},
		height: math.Inf(1),
	}
	outline := shadowOf(points)
	for _, r := range []room{both, plate, setter} {
		f := r.fitOutline(outline, 0)
		switch {
		case f.turn != 0:
			p.Rotation = mesh.RotationAbout(r3.Vec{Z: 1}, f.turn).Mul(p.Rotation)
			return p
		case r != both && r.fitBox(size).fits():
			return p // one of them it fits as it stands
		}
	}
	return p
}

// sizeOf gives the size of the box around points.
func sizeOf(points []r3.Vec) r3.Vec {
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi := r3.Scale(-1, lo)
	for _, p := range points {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	return r3.Sub(hi, lo)
}

// shadowOf gives the outline of points seen from above.
func shadowOf(points []r3.Vec) []r2.Vec {
	shadow := make([]r2.Vec, len(points))
	for i, p := range points {
		shadow[i] = r2.Vec{X: p.X, Y: p.Y}
	}
	return mesh.Outline(shadow)
}
