package window

import (
	"fmt"
	"math"
	"strings"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
	"kilnpoise/orient/process"
)

// follows gives the green length that follows from the finished one, as text.
func (row *readingRow) follows() string {
	v, err := row.wanted.Number()
	factor := greenFactor(row.faces, row.way.print, row.host.oversize())
	if err != nil || v <= 0 || math.IsNaN(factor) {
		return ""
	}
	return kit.PlainNumber(math.Round(v*factor*1000) / 1000)
}

// rescale lets the green length follow, unless the user has put another there.
func (row *readingRow) rescale() {
	if row.greenWanted.Text != "" && row.greenWanted.Text != row.preset {
		return
	}
	if p := row.follows(); p != "" {
		row.preset = p
		row.greenWanted.SetText(p)
	}
}

// changed shows what the row says now. Laying a long form out takes its time, so
// that is only asked for where the row needs more room or less.
func (row *readingRow) changed() {
	if row.setting {
		return
	}
	width := row.words.Size().Width
	high := kit.HeightOf(row.words, width)
	text, fault := row.state()
	row.words.Color = kit.ColorSoftInk
	if fault {
		row.words.Color = kit.ColorWorse
	}
	row.words.SetText(text)
	row.words.Refresh()
	if row.setLinks() || width == 0 {
		row.box.Objects[1].Refresh()
		width = row.words.Size().Width
	}
	if kit.HeightOf(row.words, width) != high {
		kit.Call(row.host.changed)
	}
}

// setLinks says what the links of the row do now, and reports whether that is new.
func (row *readingRow) setLinks() bool {
	across, leave, shown := row.across.Text, row.leave.Text, row.across.Visible()
	row.across.SetText("between faces")
	if row.faces == process.Points {
		row.across.SetText("between points")
	}
	kit.SetVisible(row.across, axisOf(row.way.print) < 0) // along an axis they are the same
	row.leave.SetText("Leave it out")
	if row.leftOut {
		row.leave.SetText("Count it again")
	}
	return across != row.across.Text || leave != row.leave.Text || shown != row.across.Visible()
}

// state says in words what the row has, and whether something is wrong with it.
func (row *readingRow) state() (text string, fault bool) {
	r, err := row.Reading()
	if err != nil {
		return kit.Sentence(err), true
	}
	where := "along " + row.way.along()
	if row.leftOut {
		where += ", left out of the fit"
	}
	switch {
	case r.GreenMM > 0 && r.SinteredMM > 0:
		probe := process.Reading{
			Direction: r.PrintDirection, Across: r.Across, GreenMM: r.GreenMM, SinteredMM: r.SinteredMM, GreenErrorMM: r.ErrorMM, SinteredErrorMM: r.ErrorMM,
		}
		if err := probe.Check(); err != nil {
			return kit.Sentence(err), true
		}
		return fmt.Sprintf("Shrank by %.2f%s%% %s.", 100*probe.ShrinkageSeen(), kit.NBSP, where), false
	case r.GreenMM > 0:
		return "Sintered still to come, " + where + ".", false
	case r.SinteredMM > 0:
		return "Not measured green, so it tells no shrinkage; " + where + ".", false
	default:
		return "Not measured yet, " + where + ".", false
	}
}

// Reading gives what stands in the row; the error says what is no number.
func (row *readingRow) Reading() (book.Reading, error) {
	r := row.was
	r.Name = strings.TrimSpace(row.name.Text)
	r.PartDirection, r.PrintDirection, r.Across, r.LeftOut = row.way.part, row.way.print, row.faces, row.leftOut
	r.Instrument = row.by.Selected
	for _, n := range []struct {
		what  string
		entry *bookEntry
		to    *float64
	}{
		{"the green nominal", row.greenWanted, &r.GreenNominalMM}, {"the green length", row.green, &r.GreenMM},
		{"the sintered nominal", row.wanted, &r.SinteredNominalMM}, {"the sintered length", row.sintered, &r.SinteredMM},
		{"the uncertainty", row.sure, &r.ErrorMM},
	} {
		v, err := n.entry.Number()
		if err != nil {
			return r, fmt.Errorf("%s of “%s” %w", n.what, r.Name, err)
		}
		*n.to = v
	}
	return r, nil
}

// Blank reports whether nothing was entered at all.
func (row *readingRow) Blank() bool {
	for _, e := range []*bookEntry{row.name, row.greenWanted, row.green, row.wanted, row.sintered} {
		if strings.TrimSpace(e.Text) != "" {
			return false
		}
	}
	return true
}
