package render

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"strings"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansitalic"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
)

// press sets type on the pages of a PDF. Lengths are mm, x right and y down from
// the upper left corner of the page; text stands on its baseline.
type press struct {
	pdf *fpdf.Fpdf
	// wide and high are the page, margin the white around what is printed.
	wide, high, margin float64
	// scale multiplies the size of all type and the distance of lines.
	scale  float64
	images int
	// dry measures only: pictures are left out.
	dry bool
	// mute draws nothing at all, to learn how high something stands.
	mute bool
}

// face is how text is set.
type face struct {
	pt    float64
	style string // "", "B", "I"
	mono  bool
	ink   color.RGBA
}

// perPoint is mm per typographic point.
const perPoint = 25.4 / 72

// inks of the sheet.
const (
	inkText   = 0x222528
	inkQuiet  = 0x55595D
	inkRule   = 0xAEB4B9
	inkAccent = hueBlue
	inkShade  = 0xEEF1F3
)

// The faces of the sheet.
func faceTitle() face  { return face{pt: 17, style: "B", ink: rgb(inkText)} }
func faceHead() face   { return face{pt: 8.8, style: "B", ink: rgb(inkText)} }
func faceBody() face   { return face{pt: 7.9, ink: rgb(inkText)} }
func faceStrong() face { return face{pt: 7.9, style: "B", ink: rgb(inkText)} }
func faceSmall() face  { return face{pt: 6.8, ink: rgb(inkQuiet)} }

// newPress opens an empty document.
func newPress(paper Paper) *press {
	size := "A4"
	if paper == Letter {
		size = "Letter"
	}
	p := &press{pdf: fpdf.New("P", "mm", size, ""), margin: 11, scale: 1}
	p.wide, p.high = p.pdf.GetPageSize()
	p.pdf.SetAutoPageBreak(false, 0)
	p.pdf.SetMargins(0, 0, 0)
	p.pdf.SetCellMargin(0)
	p.pdf.SetCatalogSort(true)
	p.pdf.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	p.pdf.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	p.pdf.AddUTF8FontFromBytes("sans", "I", liberationsansitalic.TTF)
	p.pdf.AddUTF8FontFromBytes("mono", "", liberationmonoregular.TTF)
	return p
}

// tall gives how high something stands that draws from y = 0 and gives its end.
func (p *press) tall(draw func() float64) float64 {
	was := p.mute
	p.mute = true
	defer func() { p.mute = was }()
	return draw()
}

// use sets the face for what follows.
func (p *press) use(f face) {
	family := "sans"
	if f.mono {
		family = "mono"
	}
	p.pdf.SetFont(family, f.style, f.pt*p.scale)
	p.pdf.SetTextColor(int(f.ink.R), int(f.ink.G), int(f.ink.B))
}

// line is the distance of lines set in f.
func (p *press) line(f face) float64 { return 1.22 * f.pt * p.scale * perPoint }

// width is the length of text set in f.
func (p *press) width(s string, f face) float64 {
	p.use(f)
	return p.pdf.GetStringWidth(s)
}

// left sets text from x on.
func (p *press) left(x, y float64, s string, f face) {
	if s == "" || p.mute {
		return
	}
	p.use(f)
	p.pdf.Text(x, y, s)
}

// right sets text up to x.
func (p *press) right(x, y float64, s string, f face) { p.left(x-p.width(s, f), y, s, f) }

// cut shortens s to a width by an ellipsis in the middle.
func (p *press) cut(s string, width float64, f face) string {
	return cutMiddle(s, func(t string) bool { return p.width(t, f) <= width })
}

// wrap breaks s into lines no longer than width, at most most of them (0: any
// number); what does not fit ends in an ellipsis. Words longer than a line are
// broken.
func (p *press) wrap(s string, width float64, f face, most int) []string {
	fits := func(t string) bool { return p.width(t, f) <= width }
	var lines []string
	now := ""
	for _, word := range strings.Fields(s) {
		if now != "" && fits(now+" "+word) {
			now += " " + word
			continue
		}
		if now != "" {
			lines = append(lines, now)
		}
		for !fits(word) {
			n := len([]rune(word))
			for n > 1 && !fits(string([]rune(word)[:n])) {
				n--
			}
			lines = append(lines, string([]rune(word)[:n]))
			word = string([]rune(word)[n:])
		}
		now = word
	}
	if now != "" {
		lines = append(lines, now)
	}
	if most > 0 && len(lines) > most {
		last := lines[most-1]
		for last != "" && !fits(last+"…") {
			last = string([]rune(last)[:len([]rune(last))-1])
		}
		lines = append(lines[:most-1], last+"…")
	}
	return lines
}

// block sets wrapped text with its first baseline one line under y, and gives y
// under its last line.
func (p *press) block(x, y, width float64, s string, f face, most int) float64 {
	for _, l := range p.wrap(s, width, f, most) {
		y += p.line(f)
		p.left(x, y, l, f)
	}
	return y
}

// rule draws a line.
func (p *press) rule(x0, y0, x1, y1, width float64, hex uint32) {
	if p.mute {
		return
	}
	c := rgb(hex)
	p.pdf.SetDrawColor(int(c.R), int(c.G), int(c.B))
	p.pdf.SetLineWidth(width)
	p.pdf.Line(x0, y0, x1, y1)
}

// shade fills a rectangle.
func (p *press) shade(x, y, w, h float64, c color.RGBA) {
	if p.mute {
		return
	}
	p.pdf.SetFillColor(int(c.R), int(c.G), int(c.B))
	p.pdf.Rect(x, y, w, h, "F")
}

// box draws the rim of a rectangle.
func (p *press) box(x, y, w, h, width float64, hex uint32) {
	if p.mute {
		return
	}
	c := rgb(hex)
	p.pdf.SetDrawColor(int(c.R), int(c.G), int(c.B))
	p.pdf.SetLineWidth(width)
	p.pdf.Rect(x, y, w, h, "D")
}

// picture places img in the middle of a rectangle, as large as fits. Nil leaves
// it empty.
func (p *press) picture(img *image.RGBA, x, y, w, h float64) error {
	if p.dry || p.mute || img == nil || img.Rect.Empty() {
		return nil
	}
	var data bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := enc.Encode(&data, opaque{img}); err != nil {
		return fmt.Errorf("picture for the sheet: %w", err)
	}
	p.images++
	name := fmt.Sprintf("picture-%02d", p.images)
	options := fpdf.ImageOptions{ImageType: "PNG"}
	p.pdf.RegisterImageOptionsReader(name, options, &data)
	iw, ih := float64(img.Rect.Dx()), float64(img.Rect.Dy())
	k := min(w/iw, h/ih)
	p.pdf.ImageOptions(name, x+(w-k*iw)/2, y+(h-k*ih)/2, k*iw, k*ih, false, options, 0, "")
	return p.pdf.Error()
}

// opaque tells the encoder that no pixel is see-through, so that the file needs
// no mask.
type opaque struct{ *image.RGBA }

// Opaque is always true.
func (opaque) Opaque() bool { return true }

// heading sets the title of a section over a rule as wide as the section, and
// gives y under it.
func (p *press) heading(x, y, width float64, title, aside string) float64 {
	p.rule(x, y, x+width, y, 0.35, inkText)
	y += p.line(faceHead()) + 0.6
	p.left(x, y, title, faceHead())
	if aside != "" {
		room := width - p.width(title, faceHead()) - 3
		p.right(x+width, y, p.cut(aside, room, faceSmall()), faceSmall())
	}
	return y + 1
}
