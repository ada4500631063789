package render

import (
	"context"
	"image"
	"io"
	"time"

	"kilnpoise/orient"
)

// Paper is the size of the sheet.
type Paper int

// The papers.
const (
	A4 Paper = iota
	Letter
)

// Sheet is what the page that goes with the part through the shop is made from.
type Sheet struct {
	Advice *orient.Advice
	// Chosen is the candidate that the user takes; it need not be the first.
	Chosen *orient.Candidate
	Paper  Paper
	// Date is printed and becomes the creation date of the file.
	Date time.Time
	// AtSinteredSize says that the mesh is handed over at finished size, to be
	// scaled in the next program: the sheet then prints the percentages.
	AtSinteredSize bool
	// PartFile is the name shown, PartSHA256 the hash of the file, hexadecimal.
	PartFile, PartSHA256 string
	// MeshFile is the name of the green mesh that the sheet goes with; may be
	// empty.
	MeshFile string
	// Pictures are drawn beforehand, see SheetPictures.
	Pictures SheetPictures
	// Notes are the user's own remarks.
	Notes []string
}

// SheetPictures are the pictures on the sheet. Those that are nil leave their
// place empty.
type SheetPictures struct {
	// Plate and Setter show the chosen candidate on both machines.
	Plate, Setter *image.RGBA
	// Legend explains both.
	Legend []LegendEntry
	// Others are thumbnails by rank: as loaded and runners-up.
	Others map[int]*image.RGBA
}

// WriteSheet writes the sheet as PDF, one or two pages, fonts embedded. The same
// sheet gives the same bytes.
func WriteSheet(w io.Writer, s Sheet) error { return nil }

// DrawSheetPictures draws what the sheet needs: the chosen candidate on both
// machines, and a thumbnail of each of the others, by rank. Nil when ctx ends.
func DrawSheetPictures(ctx context.Context, b *orient.Brief, chosen *orient.Detail, others map[int]*orient.Detail) *SheetPictures {
	return nil
}
