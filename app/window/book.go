package window

import (
	"fmt"
	"math"
	"strings"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
	"kilnpoise/assets"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
)

// openFiringBook opens the firing book for the material and furnace of the brief,
// or brings it to the front.
func (w *mainWindow) openFiringBook() {
	if w.firings == nil {
		w.firings = newBookWindow(w)
	}
	w.firings.open()
}

// bookFilePath gives where the firing book lies.
func (w *mainWindow) bookFilePath() (string, error) {
	if w.bookPath != "" {
		return w.bookPath, nil
	}
	return book.UserFile()
}

// newFiring is a firing of the part on the desk, as it was chosen to be printed,
// with what is to be measured on it.
func (w *mainWindow) newFiring() book.Firing {
	b := &w.desk.brief
	f := book.Firing{Date: book.Day(time.Now()), Material: b.Material.ID, Furnace: b.Furnace.ID}
	for k := range 3 {
		f.Readings = append(f.Readings, plannedLength("", r3.Vec{}, unitAxis(k), 0))
	}
	if w.desk.part == nil {
		return f
	}
	f.Part, f.PartSHA256 = w.desk.part.Name, w.desk.part.SHA256
	if claim := w.keeping.claim; claim != nil {
		f.Job = claim.Path()
	}
	if w.desk.from.demo.ID == assets.CouponID {
		for _, span := range assets.CouponSpansMM() {
			f.Sags = append(f.Sags, book.Sag{SpanMM: span, ThicknessMM: assets.CouponThicknessMM})
		}
	}
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return f
	}
	o := c.Pose.Oversize
	f.GreenVolumeMM3 = math.Round(w.desk.advice.Part.Mesh.Volume() * o.X * o.Y * o.Z)
	f.Readings = plannedReadings(c, b.Marks.Dimensions)
	return f
}

// plannedReadings are what to measure on a part that stands as the candidate does:
// its outer sizes along the axes of the print, and what is marked.
func plannedReadings(c *orient.Candidate, marked []mark.Dimension) []book.Reading {
	var out []book.Reading
	for k, size := range [3]float64{c.SinteredSize.X, c.SinteredSize.Y, c.SinteredSize.Z} {
		size = math.Round(size*100) / 100 // as it is read off a calliper
		out = append(out, plannedLength("outer size "+"XYZ"[k:k+1], r3.Vec{}, unitAxis(k), size))
	}
	for i, d := range marked {
		name := d.Name
		if name == "" {
			name = fmt.Sprintf("size %d", i+1)
		}
		switch d.What {
		case mark.Diameter:
		case mark.Distance, mark.BoreToBore, mark.BoreToFace:
			out = append(out, plannedLength(name, d.Along, c.Pose.Rotation.MulVec(d.Along), d.NominalMM))
			continue
		default: // forms and angles tell nothing of the shrinkage
			continue
		}
		for j, across := range acrossBore(c.Pose.Rotation.MulVec(d.Along)) {
			part := c.Pose.Rotation.Transpose().MulVec(across)
			out = append(out, plannedLength(fmt.Sprintf("%s, diameter %d", name, j+1), part, across, d.NominalMM))
		}
	}
	return out
}

// plannedLength is a length to be measured with the first of the instruments,
// rounded as that shows it.
func plannedLength(name string, part, print r3.Vec, nominal float64) book.Reading {
	by := instruments()[0]
	return book.Reading{
		Name: name, PartDirection: part, PrintDirection: print, SinteredNominalMM: math.Round(nominal*1000) / 1000,
		Instrument: by.name, ErrorMM: by.errorMM,
	}
}

// acrossBore gives two directions at right angles to the axis of a bore, along the
// axes of the print as far as it allows: its diameter shrinks differently in each.
func acrossBore(axis r3.Vec) [2]r3.Vec {
	least := 0
	at := [3]float64{math.Abs(axis.X), math.Abs(axis.Y), math.Abs(axis.Z)}
	for k := range at {
		if at[k] < at[least]-1e-9 {
			least = k
		}
	}
	first := r3.Unit(r3.Sub(unitAxis(least), r3.Scale(r3.Dot(unitAxis(least), axis), axis)))
	return [2]r3.Vec{first, r3.Cross(r3.Unit(axis), first)}
}

// draftOf makes the form's draft of a firing. Where its part lies on the desk, its
// axes can be chosen as directions too.
func (w *mainWindow) draftOf(f book.Firing) firingDraft {
	d := firingDraft{firing: f, title: "A part has come back", oversize: w.oversizeOf}
	if f.ID != 0 {
		d.title = fmt.Sprintf("Firing %d", f.ID)
	}
	d.materials, d.furnaces = w.materialChoices(), w.furnaceChoices()
	about := []string{"Enter what is known now; what is not measured yet stays empty and is filled in later."}
	switch {
	case f.PartSHA256 == "":
		about = append(about, "No part file belongs to it.")
	case f.Job == "":
		about = append(about, "The part’s file is known by its hash "+f.PartSHA256[:12]+"; its job has no file.")
	default:
		about = append(about, "The part’s file is known by its hash "+f.PartSHA256[:12]+"; its job is "+f.Job+".")
	}
	c := w.desk.candidate()
	if c != nil && w.desk.part != nil && (w.desk.part.SHA256 == f.PartSHA256 && f.PartSHA256 != "") {
		d.rotation = &c.Pose.Rotation
		about = append(about, "Directions of the part are turned into the print as “"+cardTitle(c)+"” stands, which is chosen now.")
	}
	d.about = strings.Join(about, " ")
	return d
}

// oversizeOf gives the factors of a material: those of the brief where that has it.
func (w *mainWindow) oversizeOf(id string) [3]float64 {
	m := w.desk.brief.Material
	if m.ID != id {
		var err error
		if m, err = w.records.Materials.Get(id); err != nil {
			n := math.NaN()
			return [3]float64{n, n, n}
		}
	}
	return m.Oversize()
}

func (w *mainWindow) materialChoices() recordChoices {
	all := w.records.Materials.List()
	names, _ := recordNames(all, "", func(m process.Material) (string, string) { return m.ID, m.Name })
	c := recordChoices{names: names}
	for _, m := range all {
		c.ids = append(c.ids, m.ID)
	}
	return c
}

func (w *mainWindow) furnaceChoices() recordChoices {
	all := w.records.Furnaces.List()
	names, _ := recordNames(all, "", func(f process.Furnace) (string, string) { return f.ID, f.Name })
	c := recordChoices{names: names}
	for _, f := range all {
		c.ids = append(c.ids, f.ID)
	}
	return c
}
