package render

import (
	"bytes"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"kilnpoise/mesh"
)

// sheetFile writes the sheet into a file of its own and gives its path and bytes.
func sheetFile(t *testing.T, s Sheet) (string, []byte) {
	t.Helper()
	var b bytes.Buffer
	if err := WriteSheet(&b, s); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path, b.Bytes()
}

// run gives what a tool of the poppler-utils package says. Where that is not
// installed it skips, unless KILNPOISE_REQUIRE_ALL says that nothing may be left out.
func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("KILNPOISE_REQUIRE_ALL") != "" {
			t.Fatalf("%s is not installed (package poppler-utils)", name)
		}
		t.Skipf("%s is not installed (package poppler-utils)", name)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v: %s", name, err, out)
	}
	return string(out)
}

// plainText joins lines and unites spaces.
func plainText(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestSheetHasItsContents(t *testing.T) {
	s := sampleSheet(t, A4, false)
	path, _ := sheetFile(t, s)
	text := plainText(run(t, "pdftotext", "-raw", path, "-"))
	for _, want := range []string{
		"Part sheet", "gland-follower.stl", s.PartSHA256, "14 March 2026", "gland-follower-green.3mf",
		"316L filament, 16/16/20", "Workshop printer 200 × 150", "Tube furnace 150", "16.0 / 16.0 / 20.0 %", "common practice",
		"45° from the plate", "On the printer's plate, green size", "On the furnace setter, sintered size", "overhang, under 45°", "support",
		"42.86 36.00 1.1905", "41.25 33.00 1.2500", "do not scale it again",
		"98.6 g", "8.2 m", "2.5 to 5.0 h", "0.12 to 1.44 mm", "uncalibrated estimate",
		"as loaded", "runner-up", "Overhang area", "Tip angle", "fails 1 of 6",
		"Against as loaded it gains: 83 % less support", "Fits the printer.", "print and fire the creep coupon",
		"Nozzle bore", "235-250 °C", "solid (judgement)", "Trade-off of all candidates",
		"Before print", "In the green state", "Before the furnace",
		"safety data sheet", "local codes", "licensed practice", "no acid recipe", "Nitric acid", "Formaldehyde", "Hydrogen", "NFPA 86", "from memory",
		"Inspected: name, date", "page 2 of 2", "Estimates are marked",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
	if strings.Contains(text, "119.05 %") {
		t.Error("percentages are printed although the mesh is at green size")
	}
}

// What is dangerous about a part stands on the first page, and what counts of a wall
// beside a cavity is not to be measured.
func TestSheetWarnsOfClosedCavities(t *testing.T) {
	for cavities, want := range map[int]string{
		1: "Caution. The part has a closed cavity: gas and acid stay trapped in it. Drill or open it in the design; else ask the material's safety data sheet",
		3: "Caution. The part has 3 closed cavities: gas and acid stay trapped in them.",
		0: "",
	} {
		s := sampleSheet(t, A4, false)
		s.Advice.Part = &mesh.Part{Health: mesh.Health{Cavities: cavities}}
		s.Chosen.Measures.ThickestWallAtCavity = cavities > 0
		path, _ := sheetFile(t, s)
		first := plainText(run(t, "pdftotext", "-raw", "-l", "1", path, "-"))
		if !strings.Contains(first, want) || strings.Contains(first, "Caution") != (cavities > 0) {
			t.Errorf("with %d cavities page 1 does not say %q", cavities, want)
		}
		all := plainText(run(t, "pdftotext", "-raw", path, "-"))
		if strings.Contains(all, "Thickest wall about") != (cavities == 0) || strings.Contains(all, "cavity: counts as 10.0 mm green") != (cavities > 0) {
			t.Errorf("with %d cavities the wall is told otherwise", cavities)
		}
	}
}

func TestSheetAtSinteredSizeGivesPercentages(t *testing.T) {
	s := sampleSheet(t, Letter, false)
	s.AtSinteredSize = true
	path, _ := sheetFile(t, s)
	text := plainText(run(t, "pdftotext", "-raw", path, "-"))
	for _, want := range []string{"at finished size", "X 119.05 % Y 119.05 % Z 125.00 %", "three percentages typed"} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
}

func TestSheetSaysWhatFails(t *testing.T) {
	s := sampleSheet(t, A4, false)
	s.Chosen = &s.Advice.Candidates[1]
	s.Chosen.Measures.SagCollapses = true
	path, _ := sheetFile(t, s)
	text := plainText(run(t, "pdftotext", "-raw", path, "-"))
	for _, want := range []string{"FAILS Sag within the allowed.", "collapses: over a tenth of the span", "no. 2"} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
}

// Where there are supports or another pose they have a page of their own, and the
// other pages point to it.
func TestSheetTellsOfSupportsAndLayingDown(t *testing.T) {
	s := sampleSheet(t, A4, false)
	addPlan(&s, 5)
	addResting(&s)
	s.LeftOut = func(item int) bool { return item == 1 }
	path, _ := sheetFile(t, s)
	text := plainText(run(t, "pdftotext", "-raw", path, "-"))
	for _, want := range []string{
		"Supports, region by region", "cutter 3 mm across, 70 mm long, holder 20 mm", "Seen from below", "12, -7, 20",
		"print and cut green", "left out; advised: set on a shaped block", "1.0 to 5.0", "0.5", "Why of region 5",
		"Support to print: 7.5 g, 1.2 h (estimates).", "Out of reach of the cutter: 63 mm³.", "by itself: 3 more, 2.5 mm² in all",
		"Laying down in the furnace", "As printed: collapses; tips at 12°, travel 1.5 mm.",
		"Laid on another face, as it is to be: sag 0.01 to 0.12 mm, likely 0.03; tips at 48°, travel 2.5 mm.", "Lay it on its side",
		"In the furnace laid on another face (not as printed; see page 3)", "0.01 to 0.12 mm, likely 0.03 (uncalibrated estimate; solved)", "page 3 of 3", "sintered size, laid on another face",
		"Laid down as pictured on page 3, not as printed", "Free way of 2.5 mm", "marked: keep clean",
		"Supports of region 3 left on", "(estimate, without the supports that are left on)", "Setter flat and clean, raft or sand where planned", "Supports of region 3 cut off: they are steel now",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
	for _, not := range []string{"Stands by itself", "Supports and raft off"} {
		if strings.Contains(text, not) {
			t.Errorf("the sheet says %q", not)
		}
	}
}

// What is to be measured has a page of its own, the last.
func TestSheetTellsWhatToMeasure(t *testing.T) {
	s := sampleSheet(t, A4, false)
	addMeasuring(&s, 7, 4)
	path, _ := sheetFile(t, s)
	text := plainText(run(t, "pdftotext", "-raw", path, "-"))
	for _, want := range []string{
		"Tolerances", "seat 1, distance", "seat 5, flatness", "seat 7, angle", "41.60 to 41.97", "± 0.30", "± 0.50°", "ISO 2768-1 m", "in doubt", "shrinkage spread",
		"Sizes to check with a caliper", "across flats along (0.00, 0.60, 0.80)", "bore along", "outer diameter along", "51.25 to 52.25", "45.00",
		"Masses to reach", "86.7 to 87.9", "10.8 to 12.1", "86.1 12.7", "page 3 of 3",
		"Green sizes measured, no. 1 to 4 on page 3", "Sintered sizes measured", "Mass after debinding about 86.7 to 87.9 g", "Mass about 86.1 g, 12.7 % lost",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
}

// The coupon's sheet says how it is printed, fired and measured.
func TestSheetOfTheCoupon(t *testing.T) {
	s := sampleSheet(t, A4, false)
	addCoupon(&s)
	path, _ := sheetFile(t, s)
	text := plainText(run(t, "pdftotext", "-raw", path, "-"))
	for _, want := range []string{
		"The creep coupon", "the arms level", "Sag is tip minus root", "top face of each arm", "sag: tip minus root, both on the top face", "20.0 3.0 0.43 or more", "7.0 3.0 0.02 to 0.20",
		"is what the coupon is fired for: see page 3", "--coupon SPAN,THICKNESS,SAG",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
}

// What the user takes says how firm it is, also when it is not the first.
func TestSheetSaysHowFirmTheChoiceIs(t *testing.T) {
	s := sampleSheet(t, A4, false)
	s.Advice.Candidates[0].FirstShare, s.Advice.Candidates[1].FirstShare = 0.83, 0.04
	s.Chosen = &s.Advice.Candidates[1]
	path, _ := sheetFile(t, s)
	text := plainText(run(t, "pdftotext", "-raw", path, "-"))
	if want := "The chosen one comes first in 4 % of all weightings of the priorities, no. 1 in 83 %."; !strings.Contains(text, want) {
		t.Errorf("the sheet does not say %q", want)
	}
}

// wordBoxes reads where each word stands on each page.
type wordBoxes struct {
	Pages []struct {
		Width  float64   `xml:"width,attr"`
		Height float64   `xml:"height,attr"`
		Words  []wordBox `xml:"word"`
	} `xml:"body>doc>page"`
}

type wordBox struct {
	X0   float64 `xml:"xMin,attr"`
	Y0   float64 `xml:"yMin,attr"`
	X1   float64 `xml:"xMax,attr"`
	Y1   float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

// beyond tells whether the word leaves the margins; its box is a little higher
// than its letters.
func (w wordBox) beyond(margin, wide, high float64) bool {
	return w.X0 < margin-0.5 || w.X1 > wide-margin+0.5 || w.Y0 < margin-2 || w.Y1 > high-margin+3
}

// firstOverlap gives two words that cover each other, beyond the air that their
// boxes hold over and under the letters.
func firstOverlap(words []wordBox) (a, b wordBox, found bool) {
	const air, side = 2.4, 0.6 // points
	for i, a := range words {
		for _, b := range words[:i] {
			if min(a.X1, b.X1)-max(a.X0, b.X0) > side && min(a.Y1, b.Y1)-max(a.Y0, b.Y0) > air {
				return a, b, true
			}
		}
	}
	return a, b, false
}

func boxesOf(t *testing.T, s Sheet) (boxes wordBoxes) {
	t.Helper()
	path, _ := sheetFile(t, s)
	d := xml.NewDecoder(strings.NewReader(run(t, "pdftotext", "-bbox", path, "-")))
	d.Strict = false
	if err := d.Decode(&boxes); err != nil {
		t.Fatal(err)
	}
	return boxes
}

// Short or long, on either paper: two pages and one for supports and laying down,
// nothing beyond the margins, the lines to sign in place and no words on each other.
func TestSheetStaysOnItsPages(t *testing.T) {
	const millimetre = 72 / 25.4
	for _, c := range []struct {
		name       string
		paper      Paper
		long       bool
		wide, high float64 // ISO 216; ANSI Y14.1
		regions    int
		resting    bool
		pages      int
	}{
		{"A4", A4, false, 210, 297, 0, false, 2}, {"A4, long", A4, true, 210, 297, 0, false, 2},
		{"Letter", Letter, false, 215.9, 279.4, 0, false, 2}, {"Letter, long", Letter, true, 215.9, 279.4, 0, false, 2},
		{"A4, laid down", A4, false, 210, 297, 0, true, 3}, {"Letter, a few regions, laid down", Letter, false, 215.9, 279.4, 4, true, 3},
		{"Letter, long, 60 regions, laid down", Letter, true, 215.9, 279.4, 60, true, 3}, {"A4, 25 regions", A4, false, 210, 297, 25, false, 3},
		{"A4, measured", A4, false, 210, 297, 0, false, 3}, {"Letter, long, laid down, much measured", Letter, true, 215.9, 279.4, 4, true, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := sampleSheet(t, c.paper, c.long)
			if c.regions > 0 {
				addPlan(&s, c.regions)
			}
			if c.resting {
				addResting(&s)
			}
			switch {
			case strings.Contains(c.name, "much measured"):
				addMeasuring(&s, 70, 12)
			case strings.Contains(c.name, "measured"):
				addMeasuring(&s, 7, 5)
			}
			boxes := boxesOf(t, s)
			if len(boxes.Pages) != c.pages {
				t.Fatalf("%d pages, want %d", len(boxes.Pages), c.pages)
			}
			sign, foot := 0.0, 0.0 // of the second page
			for i, p := range boxes.Pages {
				if d := p.Width - c.wide*millimetre; d > 1 || d < -1 {
					t.Errorf("page %d is %.1f points wide, want %.1f", i+1, p.Width, c.wide*millimetre)
				}
				if a, b, ok := firstOverlap(p.Words); ok {
					t.Errorf("page %d: %q and %q stand on each other", i+1, a.Text, b.Text)
				}
				for _, w := range p.Words {
					if w.beyond(11*millimetre, p.Width, p.Height) {
						t.Errorf("page %d: %q stands beyond the margin at %.1f to %.1f, %.1f", i+1, w.Text, w.X0, w.X1, w.Y1)
					}
					switch {
					case w.Text == "Inspected:":
						sign = w.Y1
					case w.Text == "page" && i == 1:
						foot = max(foot, w.Y0)
					}
				}
			}
			if sign == 0 || sign > foot {
				t.Errorf("lines to sign end at %.1f, the foot starts at %.1f", sign, foot)
			}
		})
	}
}

func TestSheetEmbedsItsFonts(t *testing.T) {
	path, _ := sheetFile(t, sampleSheet(t, A4, false))
	lines := strings.Split(strings.TrimSpace(run(t, "pdffonts", path)), "\n")[2:]
	if len(lines) < 2 {
		t.Fatalf("%d fonts, want regular and bold at least", len(lines))
	}
	for _, l := range lines {
		// columns: name, type (two words), encoding, emb, sub, uni, object (two)
		f := strings.Fields(l)
		if emb, uni := f[len(f)-5], f[len(f)-3]; emb != "yes" || uni != "yes" {
			t.Errorf("font %s: embedded %s, readable as text %s; want yes, yes", f[0], emb, uni)
		}
	}
}

func TestSheetIsDeterministic(t *testing.T) {
	s := sampleSheet(t, A4, false)
	_, a := sheetFile(t, s)
	_, b := sheetFile(t, s)
	if !bytes.Equal(a, b) {
		t.Error("the same sheet gives other bytes the second time")
	}
	s.Date = s.Date.Add(24 * time.Hour)
	_, c := sheetFile(t, s)
	if bytes.Equal(a, c) {
		t.Error("another date gives the same bytes")
	}
	if !bytes.Contains(a, []byte("D:20260314093000")) {
		t.Error("the creation date is not that of the sheet")
	}
	// Where no tool reads the file, count the pages in it.
	if pages := len(regexp.MustCompile(`/Type /Page\b[^s]`).FindAll(a, -1)); pages != 2 {
		t.Errorf("%d page objects, want 2", pages)
	}
}

func TestSheetWithoutMuch(t *testing.T) {
	if err := WriteSheet(&bytes.Buffer{}, Sheet{}); err == nil {
		t.Error("a sheet of nothing gives no error")
	}
	s := sampleSheet(t, A4, false)
	s.Pictures, s.PartFile, s.PartSHA256, s.MeshFile = SheetPictures{}, "", "", ""
	s.Advice.Candidates = s.Advice.Candidates[:1]
	s.Advice.Notes, s.Advice.Brief.Material.Settings = nil, nil
	s.Chosen.Gates, s.Chosen.Reasons = nil, nil
	path, _ := sheetFile(t, s)
	if text := run(t, "pdftotext", path, "-"); !strings.Contains(text, "no print settings") {
		t.Error("the sheet does not say that the record has no print settings")
	}
}
