package render

import (
	"errors"
	"fmt"
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
	// MeshFile is the name of the mesh that the sheet goes with; may be empty.
	MeshFile string
	// Pictures are drawn beforehand, see DrawSheetPictures.
	Pictures SheetPictures
	// Sizes are those to check on the chosen candidate, Masses the target masses.
	Sizes  []orient.CheckSize
	Masses orient.Masses
	// Coupon holds the arms of the creep coupon, where the part is that.
	Coupon []orient.CouponArm
	// Notes are the user's own remarks.
	Notes []string
	// LeftOut tells of an item of the chosen candidate's support plan, by its place
	// there, that the user leaves it out; nil leaves out none.
	LeftOut func(item int) bool
}

// SheetPictures are the pictures on the sheet. Those that are nil leave their
// place empty.
type SheetPictures struct {
	// Plate and Setter show the chosen candidate on both machines, at one scale.
	Plate, Setter *image.RGBA
	// Legend explains both.
	Legend []LegendEntry
	// Thumbnail is the chosen candidate, Others the rest by rank, all alike.
	Thumbnail *image.RGBA
	Others    map[int]*image.RGBA
	// Regions show the numbered regions of the support plan; Poses the chosen
	// candidate on the setter as printed and as it is to be laid down.
	Regions []SheetView
	Poses   [2]SheetPose
	// Sizes show the numbered sizes to check.
	Sizes []SheetView
}

// SheetView is a picture with the words for where it is seen from.
type SheetView struct {
	Image *image.RGBA
	Words string
}

// SheetPose is a picture on the setter with what explains it.
type SheetPose struct {
	Image  *image.RGBA
	Legend []LegendEntry
}

// WriteSheet writes the sheet as PDF, fonts embedded: two pages, a third where
// there are supports to see to or another pose for the furnace, and a last one where
// there is something to measure. Nothing is written
// when it cannot be made. The same sheet gives the same bytes.
func WriteSheet(w io.Writer, s Sheet) error {
	if s.Advice == nil || s.Chosen == nil {
		return errors.New("sheet: no candidate chosen; choose one and try again")
	}
	draft, err := newLayout(&s)
	if err != nil {
		return fmt.Errorf("sheet: %w", err)
	}
	draft.dry = true
	l, err := newLayout(&s)
	if err != nil {
		return fmt.Errorf("sheet: %w", err)
	}
	dry := draft.pages()
	for i, page := range l.pages() {
		l.settle(draft.fitting(dry[i]))
		if _, err := page(); err != nil {
			return fmt.Errorf("sheet: %w", err)
		}
	}
	if err := l.pdf.Output(w); err != nil {
		return fmt.Errorf("sheet: %w", err)
	}
	return nil
}

// pages gives what sets each page and says where it ends.
func (l *layout) pages() []func() (float64, error) {
	out := []func() (float64, error){l.first, l.second}
	if l.hasThird() {
		out = append(out, l.third)
	}
	if l.hasMeasuring() {
		out = append(out, l.measuring)
	}
	return out
}

// room is how generously a page is set.
type room struct {
	scale float64
	// lines is the most lines of one sentence, items the most sentences of a
	// list, settings the most print settings; 0 is any number.
	lines, items, settings int
	// noChart leaves out the trade-off.
	noChart bool
}

// roominess lists the settings to try, from roomy to tight. Type under 0.8 of
// the usual is hard to read on paper; whatever the input, the last one fits.
func roominess() []room {
	return []room{
		{scale: 1}, {scale: 0.95}, {scale: 0.90}, {scale: 0.85},
		{scale: 0.85, noChart: true},
		{scale: 0.85, lines: 3, items: 14, settings: 24, noChart: true},
		{scale: 0.80, lines: 2, items: 12, settings: 24, noChart: true},
		{scale: 0.80, lines: 2, items: 9, settings: 18, noChart: true},
		{scale: 0.80, lines: 2, items: 6, settings: 12, noChart: true},
	}
}

// fitting gives the roomiest setting in which the page is not overfull.
func (l *layout) fitting(page func() (float64, error)) room {
	all := roominess()
	for _, r := range all {
		l.settle(r)
		if y, err := page(); err != nil || y <= l.bottom() {
			return r
		}
	}
	return all[len(all)-1]
}

// layout is the work on one sheet.
type layout struct {
	*press
	s     *Sheet
	room  room
	shown []*orient.Candidate // chosen first
}

func newLayout(s *Sheet) (*layout, error) {
	p, err := newPress(s.Paper)
	if err != nil {
		return nil, err
	}
	l := &layout{press: p, s: s, shown: SheetCandidates(s.Advice, s.Chosen)}
	date := s.Date.UTC()
	l.pdf.SetCreationDate(date)
	l.pdf.SetModificationDate(date)
	l.pdf.SetTitle("Kilnpoise part sheet: "+s.PartFile, true)
	l.pdf.SetSubject("Which way up to print, how it stands in the furnace", true)
	l.pdf.SetCreator("Kilnpoise", true)
	l.pdf.SetProducer("Kilnpoise", true)
	l.pdf.SetLang("en")
	return l, nil
}

// settle takes the room for the next page.
func (l *layout) settle(r room) { l.room, l.scale = r, r.scale }

// the part of the page that is printed.
func (l *layout) x0() float64     { return l.margin }
func (l *layout) across() float64 { return l.wide - 2*l.margin }
func (l *layout) bottom() float64 { return l.high - l.margin - 4 }

// gap is the white between sections.
const gap = 3.2

// first sets the page that says what and how much, and gives where it ends.
func (l *layout) first() (float64, error) {
	l.page(1)
	y := l.banner(l.head(l.margin))
	y = l.process(y + gap)
	rest := 2*gap + l.tall(func() float64 { h, _ := l.table(l.sizes(0)); return h })
	y, err := l.pictures(y+gap, l.bottom()-rest)
	if err != nil {
		return 0, err
	}
	y = l.sizes(y + gap)
	if y, err = l.table(y + gap); err != nil {
		return 0, err
	}
	return y, l.pdf.Error()
}

// second sets the page that says why, what to watch and what to check, and
// gives where it ends. Signatures stand at its foot.
func (l *layout) second() (float64, error) {
	l.page(2)
	y := l.shortHead(l.margin)
	y, err := l.why(y+gap, l.bottom()-l.footHigh()-2*gap)
	if err != nil {
		return 0, err
	}
	y = l.checks(y + gap)
	y = l.cautions(y + gap)
	y = l.signatures(max(y+gap, l.bottom()-l.signaturesHigh()))
	return y, l.pdf.Error()
}

// page opens a page with its foot.
func (l *layout) page(n int) {
	l.pdf.AddPage()
	y := l.high - l.margin
	l.rule(l.x0(), y-3.2, l.x0()+l.across(), y-3.2, 0.2, inkRule)
	f := faceSmall()
	number := fmt.Sprintf("page %d of %d", n, len(l.pages()))
	l.right(l.x0()+l.across(), y, number, f)
	text := "Kilnpoise. Estimates are marked as such; sag is " + l.sagBasis() + ". Dimensions in mm unless said otherwise."
	l.left(l.x0(), y, l.cut(text, l.across()-l.width(number, f)-4, f), f)
}

// sagBasis says how far the sag is to be trusted.
func (l *layout) sagBasis() string {
	if c := l.s.Advice.Brief.Material.Creep.Calibrated; c != "" {
		return "an estimate, calibrated by coupon (" + c + ")"
	}
	return "an uncalibrated estimate"
}
