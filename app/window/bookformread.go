package window

import (
	"fmt"
	"strings"
	"time"

	"kilnpoise/app/book"
	"kilnpoise/app/window/kit"
	"kilnpoise/orient/furnace"
)

// Changed reports whether anything was entered that is not kept.
func (f *bookForm) Changed() bool { return f.texts() != f.begun }

// Forget takes what was entered for kept, since the user gives it up.
func (f *bookForm) Forget() { f.begun = f.texts() }

// KeptAs notes that the firing is in the book as it stood when the texts were sent.
func (f *bookForm) KeptAs(g book.Firing, sent string) {
	f.draft.firing, f.begun = g, sent
	f.Report("Kept as it was; what you changed meanwhile is not yet.")
}

// SetBusy holds the buttons while the firing is being written.
func (f *bookForm) SetBusy(on bool) {
	f.busy = on
	for _, b := range []*kit.EscButton{f.keep, f.remove} {
		enable(b, !on)
	}
}

// Busy reports whether the firing is being written.
func (f *bookForm) Busy() bool { return f.busy }

func (f *bookForm) doKeep() {
	g, err := f.Firing()
	if err == nil {
		err = g.Check()
	}
	if err != nil {
		f.Report(kit.Sentence(err))
		return
	}
	f.Report("")
	if f.OnKeep != nil {
		f.OnKeep(g)
	}
}

// Report says something above the buttons.
func (f *bookForm) Report(text string) {
	f.report.Color = kit.ColorWorse
	f.report.SetText(text)
	f.box.Refresh()
}

// Firing gives what was entered; the error says what cannot be read.
func (f *bookForm) Firing() (book.Firing, error) {
	g := f.draft.firing
	date, err := time.Parse(time.DateOnly, strings.TrimSpace(f.date.Text))
	if err != nil {
		return g, fmt.Errorf("“%s” is no date; give it as year-month-day, such as %s", f.date.Text, time.Now().Format(time.DateOnly))
	}
	g.Date, g.Material = date, f.materialID()
	if i := f.furnace.SelectedIndex(); i >= 0 {
		g.Furnace = f.draft.furnaces.ids[i]
	}
	g.Run, g.Part, g.Peak, g.Remarks = f.run.Text, f.part.Text, f.peak.Text, f.remarks.Text
	if err := f.numbers(&g); err != nil {
		return g, err
	}
	g.Readings, g.Sags = nil, nil
	for _, row := range f.readings {
		if row.Blank() {
			continue
		}
		r, err := row.Reading()
		if err != nil {
			return g, err
		}
		g.Readings = append(g.Readings, r)
	}
	return g, f.sagsInto(&g)
}

// numbers reads masses and volumes.
func (f *bookForm) numbers(g *book.Firing) error {
	for _, n := range []struct {
		what  string
		entry *bookEntry
		to    *float64
		times float64
	}{
		{"the green mass", f.greenMass, &g.GreenMassG, 1}, {"the sintered mass", f.mass, &g.SinteredMassG, 1},
		{"the green volume", f.greenVolume, &g.GreenVolumeMM3, 1000}, {"the sintered volume", f.volume, &g.SinteredVolumeMM3, 1000},
	} {
		if n.entry.Text == n.entry.written {
			continue // to the last digit as it was
		}
		v, err := n.entry.Number()
		if err != nil {
			return fmt.Errorf("%s %w", n.what, err)
		}
		*n.to = n.times * v
	}
	return nil
}

// sagsInto reads the beams; those without any number are left out.
func (f *bookForm) sagsInto(g *book.Firing) error {
	for i, row := range f.sags {
		s := book.Sag{Hold: furnace.Hold(row.hold.SelectedIndex())}
		if strings.TrimSpace(row.span.Text+row.drop.Text) == "" {
			continue
		}
		for _, n := range []struct {
			what  string
			entry *bookEntry
			to    *float64
		}{{"span", row.span, &s.SpanMM}, {"thickness", row.thickness, &s.ThicknessMM}, {"sag", row.drop, &s.SagMM}} {
			v, err := n.entry.Number()
			if err != nil {
				return fmt.Errorf("the %s of beam %d %w", n.what, i+1, err)
			}
			*n.to = v
		}
		g.Sags = append(g.Sags, s)
	}
	return nil
}
