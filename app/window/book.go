package window

import (
	"math"
	"strings"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// openFiringBook opens the firing book for the material and furnace of the brief,
// or brings it to the front.
func (w *mainWindow) openFiringBook() {
	b := &w.desk.brief
	if w.firings == nil {
		path := w.bookPath
		if path == "" {
			path, _ = book.UserFile() // without a home the book says so itself
		}
		w.firings = newBookWindow(w.app, path, w.post)
		w.firings.OnTake, w.firings.OnCoupons = w.takeShrinkage, w.keepCoupons
		w.firings.OnClosed = func() { w.firings = nil }
	}
	w.firings.open(b.Material, b.Furnace, w.newFiring())
}

// newFiring is a firing of the part on the desk, as it was chosen to be printed.
func (w *mainWindow) newFiring() book.Firing {
	b := &w.desk.brief
	f := book.Firing{Date: book.Day(time.Now()), Material: b.Material.ID, Furnace: b.Furnace.ID}
	if w.desk.part == nil {
		return f
	}
	f.Part, f.PartSHA256 = w.desk.part.Name, w.desk.part.SHA256
	if w.keeping.claim != nil {
		f.Job = w.keeping.claim.Path()
	}
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return f
	}
	f.GreenVolumeMM3 = w.desk.part.Mesh.Volume() * c.Pose.Oversize.X * c.Pose.Oversize.Y * c.Pose.Oversize.Z
	f.Readings = plannedReadings(c, b)
	return f
}

// plannedReadings are what to measure on a part: the distances that are marked, or
// its three outer sizes in the print.
func plannedReadings(c *orient.Candidate, b *orient.Brief) []book.Reading {
	var out []book.Reading
	for _, d := range b.Marks.Dimensions {
		if d.Bore {
			continue // a diameter has no one direction
		}
		out = append(out, reading(d.Name, d.Along, c.Pose.Rotation.MulVec(d.Along), d.NominalMM, c))
	}
	if len(out) > 0 {
		return out
	}
	for i, size := range [3]float64{c.SinteredSize.X, c.SinteredSize.Y, c.SinteredSize.Z} {
		along := axisOf(i)
		size = math.Round(size*100) / 100 // as it is read off an instrument
		out = append(out, reading("outer size "+"XYZ"[i:i+1], c.Pose.Rotation.Transpose().MulVec(along), along, size, c))
	}
	return out
}

// reading is a length that is to be measured, with what is wanted of it.
func reading(name string, part, print r3.Vec, nominal float64, c *orient.Candidate) book.Reading {
	o := c.Pose.Oversize
	return book.Reading{
		Name: name, PartDirection: part, PrintDirection: print, SinteredNominalMM: nominal,
		GreenNominalMM: nominal * r3.Norm(r3.Vec{X: o.X * print.X, Y: o.Y * print.Y, Z: o.Z * print.Z}),
	}
}

// takeShrinkage keeps a material record that the firing book proposes, and works the
// advice out with it.
func (w *mainWindow) takeShrinkage(m process.Material) string {
	if err := w.records.Materials.Save(m); err != nil {
		return sentence(err)
	}
	if kept, err := w.records.Materials.Get(m.ID); err == nil {
		m = kept
	}
	w.desk.brief.Material = m
	w.did("take the shrinkage from the firing book")
	w.rework()
	return typeset("Taken over into your own record of " + m.Name + ", and used from now on.")
}

// keepCoupons fits the sag to the beams of the firing book.
func (w *mainWindow) keepCoupons(firings []book.Firing) string {
	beams := book.Coupons(firings)
	lines, ok := w.fitCoupon(beams)
	if !ok {
		return strings.Join(lines, " ")
	}
	return w.keepCoupon(beams, "firing book") + " " + lines[0]
}
