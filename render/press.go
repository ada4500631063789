package render

import (
	"image/color"
	"strings"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
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
	widths map[int]bool         // of the pictures so far, pixels
	cases  map[string]*typecase // by family and style
	// dry measures only: pictures are left out.
	dry bool
	// mute draws nothing at all, to learn how high something stands.
	mute bool
}

// face is how text is set.
type face struct {
	pt    float64
	style string // "" or "B"
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
func newPress(paper Paper) (*press, error) {
	size := "A4"
	if paper == Letter {
		size = "Letter"
	}
	p := &press{pdf: fpdf.New("P", "mm", size, ""), margin: 11, scale: 1, cases: map[string]*typecase{}, widths: map[int]bool{}}
	p.wide, p.high = p.pdf.GetPageSize()
	p.pdf.SetAutoPageBreak(false, 0)
	p.pdf.SetMargins(0, 0, 0)
	p.pdf.SetCellMargin(0)
	p.pdf.SetCatalogSort(true)
	for _, f := range []struct {
		family, style string
		ttf           []byte
	}{
		{"sans", "", liberationsansregular.TTF}, {"sans", "B", liberationsansbold.TTF}, {"mono", "", liberationmonoregular.TTF},
	} {
		c, err := newTypecase(f.ttf)
		if err != nil {
			return nil, err
		}
		p.cases[f.family+f.style] = c
		p.pdf.AddUTF8FontFromBytes(f.family, f.style, f.ttf)
	}
	return p, p.pdf.Error()
}

// tall gives how high something stands that draws from y = 0 and gives its end.
func (p *press) tall(draw func() float64) float64 {
	was := p.mute
	p.mute = true
	defer func() { p.mute = was }()
	return draw()
}

// use sets the face for what follows, and gives s in characters that it has.
func (p *press) use(f face, s string) string {
	family := "sans"
	if f.mono {
		family = "mono"
	}
	p.pdf.SetFont(family, f.style, p.points(f))
	p.pdf.SetTextColor(int(f.ink.R), int(f.ink.G), int(f.ink.B))
	return p.cases[family+f.style].plain(s)
}

// points is the size that f is set in: not smaller than can be read in a shop.
func (p *press) points(f face) float64 {
	const least = 6
	return max(f.pt*p.scale, least)
}

// line is the distance of lines set in f.
func (p *press) line(f face) float64 { return 1.22 * p.points(f) * perPoint }

// width is the length of text set in f.
func (p *press) width(s string, f face) float64 {
	s = p.use(f, s)
	return p.pdf.GetStringWidth(s)
}

// left sets text from x on.
func (p *press) left(x, y float64, s string, f face) {
	if s == "" || p.mute {
		return
	}
	s = p.use(f, s)
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
// broken; a no-break space holds together.
func (p *press) wrap(s string, width float64, f face, most int) []string {
	fits := func(t string) bool { return p.width(t, f) <= width }
	var lines []string
	now := ""
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		if now != "" && fits(now+" "+word) {
			now += " " + word
			continue
		}
		if now != "" {
			lines = append(lines, now)
		}
		for now = word; !fits(now); {
			head := headThatFits(now, fits)
			lines, now = append(lines, head), now[len(head):]
		}
	}
	if now != "" {
		lines = append(lines, now)
	}
	if most > 0 && len(lines) > most {
		last := headThatFits(lines[most-1], func(t string) bool { return fits(t + "…") })
		lines = append(lines[:most-1], last+"…")
	}
	return lines
}

// headThatFits gives the longest beginning of s that fits, one character at
// least.
func headThatFits(s string, fits func(string) bool) string {
	r := []rune(s)
	for n := len(r); n > 1; n-- {
		if head := string(r[:n]); fits(head) {
			return head
		}
	}
	return string(r[:1])
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
