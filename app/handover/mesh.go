// Package handover writes what leaves Kilnpoise: the turned and oversized mesh
// for the next program, and the sheet that goes with the part. Files are written
// whole or not at all.
package handover

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// Size says at which size the mesh is handed over.
type Size int

// The sizes.
const (
	// Green is oversized, ready to print.
	Green Size = iota
	// Sintered is the finished size, for those who scale in the next program.
	Sintered
)

// Order is one candidate on its way out.
type Order struct {
	Advice    *orient.Advice
	Candidate *orient.Candidate
	Size      Size
	// Bodies are printed with the part, at green size only: see
	// orient.Advice.Bodies. With a raft among them the part stands above it.
	Bodies []support.Body
	// LeftOut tells of an item of the candidate's support plan, by its place there,
	// that the user leaves it out, for the sheet; nil leaves out none.
	LeftOut func(item int) bool
	// Notes are remarks of the user for the sheet.
	Notes []string
	// Context ends the writing of the files, which are then not there; nil never does.
	Context context.Context
	// Folder is where the files go; it must exist. Name begins their names.
	Folder, Name string
}

// Mesh gives the mesh of the order: turned, standing on z = 0, centred.
func (o Order) Mesh() *mesh.Mesh {
	if o.Size == Sintered {
		return o.Candidate.Pose.Sintered(o.Advice.Part.Mesh)
	}
	return o.Candidate.Pose.Green(o.Advice.Part.Mesh)
}

// write writes a file whole or not at all.
func (o Order) write(path string, write func(w io.Writer) error) error {
	if o.Context == nil {
		return mesh.WriteFileWhole(path, write)
	}
	return mesh.WriteFileUntil(o.Context, path, write)
}

// path gives the path of the file with the given ending.
func (o Order) path(ending string) string {
	return filepath.Join(o.Folder, o.Name+ending)
}

// meshEnding is the part of the file name that tells the size.
func (o Order) meshEnding() string {
	if o.Size == Sintered {
		return "-turned"
	}
	return "-green"
}

// Write3MF writes the mesh as 3MF, in millimetres, with the orientation and the
// factors in the metadata, and gives its path.
func (o Order) Write3MF() (string, error) {
	path := o.path(o.meshEnding() + ".3mf")
	doc := mesh.ThreeMF{
		Objects:  o.objects(),
		Metadata: o.metadata(),
	}
	return path, o.write(path, func(w io.Writer) error { return mesh.Write3MF(w, doc) })
}

// WriteSTL writes the mesh as binary STL, in millimetres, and gives its path.
func (o Order) WriteSTL() (string, error) {
	path := o.path(o.meshEnding() + ".stl")
	header := "Kilnpoise, millimetres, " + o.sizeWords()
	return path, o.write(path, func(w io.Writer) error { return mesh.WriteSTL(w, o.objects()[0].Mesh, header) })
}

func (o Order) sizeWords() string {
	if o.Size == Sintered {
		return "finished size: scale before printing"
	}
	return "green size: do not scale again"
}

// metadata says how the mesh came to be.
func (o Order) metadata() []mesh.Metadata {
	r, f := o.Candidate.Pose.Rotation, o.Candidate.Pose.Oversize
	percent := process.Percentages([3]float64{f.X, f.Y, f.Z})
	applied := "yes"
	if o.Size == Sintered {
		applied = "no"
	}
	return append([]mesh.Metadata{
		{Name: "Title", Value: o.Name},
		{Name: "Application", Value: "Kilnpoise"},
		{Name: "Description", Value: fmt.Sprintf("%s; %s; oversize X %.3f %%, Y %.3f %%, Z %.3f %%",
			o.Candidate.Name, o.sizeWords(), percent[0], percent[1], percent[2])},
		{Name: "Orientation", Value: o.Candidate.Name},
		{Name: "Rotation", Value: fmt.Sprintf("%.9g %.9g %.9g %.9g %.9g %.9g %.9g %.9g %.9g",
			r[0][0], r[0][1], r[0][2], r[1][0], r[1][1], r[1][2], r[2][0], r[2][1], r[2][2])},
		{Name: "Oversize", Value: fmt.Sprintf("%.9g %.9g %.9g", f.X, f.Y, f.Z)},
		{Name: "OversizeApplied", Value: applied},
		{Name: "PartSHA256", Value: o.Advice.Part.SHA256},
	}, o.stockMetadata()...)
}

// stockMetadata tells the stock that is on the mesh; nothing where there is none.
func (o Order) stockMetadata() []mesh.Metadata {
	var words []string
	for i := range o.Advice.Brief.Marks.Stock {
		words = append(words, orient.StockWords(&o.Advice.Brief.Marks.Stock[i], i))
	}
	if len(words) == 0 {
		return nil
	}
	return []mesh.Metadata{{Name: "Stock", Value: strings.Join(words, "; ")}}
}
