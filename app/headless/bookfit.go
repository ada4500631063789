package headless

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/pflag"

	"kilnpoise/app/book"
	"kilnpoise/orient/process"
)

// BookFit is what the fit of the firing book is told.
type BookFit struct {
	Book Book
	// Take puts the outcome into the user's record; Note is kept with it.
	Take bool
	Note string
	// Without leaves firings or single readings out: "12" or "12/width".
	Without []string
	// Confidence of the intervals, percent.
	Confidence float64
}

// AddFlags adds the options to a set of flags.
func (o *BookFit) AddFlags(f *pflag.FlagSet) {
	o.Book.AddFlags(f)
	o.Book.AddFilterFlags(f)
	f.BoolVar(&o.Take, "take", false, "take the outcome over into your own material record")
	f.StringVar(&o.Note, "note", "", "a note kept with the figures that are taken over")
	f.StringArrayVar(&o.Without, "without", nil, "leave out a firing by its number, or one reading of it: 12 or 12/width; may be repeated")
	f.Float64Var(&o.Confidence, "confidence", 95, "confidence of the intervals, percent")
}

// Validate checks what the flags alone cannot.
func (o *BookFit) Validate() error {
	if o.Book.Material == "" {
		return errors.New("give the --material whose shrinkage is to be fitted")
	}
	if !(o.Confidence >= 50 && o.Confidence < 100) {
		return fmt.Errorf("--confidence %g: give percent from 50 to under 100", o.Confidence)
	}
	for _, w := range o.Without {
		number, _, _ := strings.Cut(w, "/")
		if _, err := strconv.ParseInt(number, 10, 64); err != nil {
			return fmt.Errorf("--without %q: give the number of a firing, or of a firing and a reading as 12/width", w)
		}
	}
	return nil
}

// Run fits the shrinkage to the firings chosen, shows what it would change in the
// record and, where asked, changes it.
func (o *BookFit) Run(ctx context.Context, today time.Time, stdout, stderr io.Writer) error {
	say := &console{w: stderr}
	library := openLibrary(say)
	m, err := library.Materials.Get(o.Book.Material)
	if err != nil {
		return fmt.Errorf("--material: %w", err)
	}
	b, err := o.Book.open(ctx, say)
	if err != nil {
		return err
	}
	defer b.Close()
	firings, err := o.Book.chosen(ctx, b)
	if err != nil {
		return err
	}
	if err := o.leaveOut(firings); err != nil {
		return err
	}
	fit, err := process.FitShrinkage(ctx, book.Readings(firings), process.FitOptions{Confidence: o.Confidence / 100, Start: m.Shrinkage})
	if err != nil {
		return err
	}
	o.heading(stdout, &fit)
	if err := writeAxes(stdout, &fit); err != nil {
		return err
	}
	for _, one := range fit.Outliers {
		fmt.Fprintln(stdout, "outlier:", one.Text())
	}
	densities(stdout, &fit, m, firings)
	say.notes(fit.Remarks)
	return o.propose(library, &fit, m, today, stdout, say)
}

// leaveOut marks what --without names; a name that is not there is an error.
func (o *BookFit) leaveOut(firings []book.Firing) error {
	for _, w := range o.Without {
		number, name, single := strings.Cut(w, "/")
		found := false
		for i := range firings {
			if strconv.FormatInt(firings[i].ID, 10) != number {
				continue
			}
			for k := range firings[i].Readings {
				if r := &firings[i].Readings[k]; !single || r.Name == name {
					r.LeftOut, found = true, true
				}
			}
		}
		if !found {
			return fmt.Errorf("--without %s: there is no such reading among the firings chosen", w)
		}
	}
	return nil
}

func (o *BookFit) heading(w io.Writer, fit *process.ShrinkageFit) {
	text := "shrinkage of " + strings.ToLower(o.Book.Material)
	if o.Book.Furnace != "" {
		text += " in " + strings.ToLower(o.Book.Furnace)
	}
	text += fmt.Sprintf(", percent: %d readings of %d firings", fit.Readings, len(fit.Firings))
	if !fit.First.IsZero() {
		text += fmt.Sprintf(", %s to %s", fit.First.Format(time.DateOnly), fit.Last.Format(time.DateOnly))
	}
	fmt.Fprintln(w, text)
}

// writeAxes writes the table of the axes.
func writeAxes(out io.Writer, fit *process.ShrinkageFit) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	level := strconv.FormatFloat(100*fit.Confidence, 'g', 4, 64) + " %"
	fmt.Fprintf(w, "axis\tmean\t%s of the mean\tspread\t%s of the spread\tnext firing\tfirings\treadings\tdrift in 30 days\tP\t\n", level, level)
	for k, a := range fit.Axes {
		drift := points(a.Drift.Per30Days, "%+.2f")
		if a.Drift.Found {
			drift += " (!)"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%d\t%d\t%s\t%s\t\n", string("XYZ"[k]), points(a.Shrinkage, "%.2f"), span(a.Low, a.High), points(a.Spread, "%.2f"),
			span(a.SpreadLow, a.SpreadHigh), span(a.NextLow, a.NextHigh), a.Firings, a.Readings, drift, points(a.Drift.P/100, "%.2g"))
	}
	return w.Flush()
}

// points writes a fraction as percent, and a dash for what is not known.
func points(v float64, format string) string {
	if math.IsNaN(v) {
		return "-"
	}
	return fmt.Sprintf(format, 100*v)
}

func span(low, high float64) string {
	if math.IsNaN(low) || math.IsNaN(high) {
		return "-"
	}
	return points(low, "%.2f") + " to " + points(high, "%.2f")
}

// densities tells what the masses say, a line for each part weighed.
func densities(w io.Writer, fit *process.ShrinkageFit, m process.Material, firings []book.Firing) {
	for i := range firings {
		f := &firings[i]
		c := fit.CheckDensity(m, f.Weighing())
		if !math.IsNaN(c.Relative) {
			text := fmt.Sprintf("density of firing %d: %.1f %% of full", f.ID, 100*c.Relative)
			if c.RelativeError > 0 {
				text += fmt.Sprintf(", plus or minus %.1f (estimate)", 100*c.RelativeError)
			}
			fmt.Fprintln(w, text)
		}
		for _, r := range c.Remarks {
			fmt.Fprintf(w, "firing %d: %s\n", f.ID, r)
		}
	}
}

// propose shows the changes and makes them where asked.
func (o *BookFit) propose(library *process.Library, fit *process.ShrinkageFit, m process.Material, today time.Time, stdout io.Writer, say *console) error {
	p := fit.Propose(m, today, o.Note)
	if len(p.Changes) == 0 {
		fmt.Fprintf(stdout, "nothing changes in the record %q\n", m.ID)
		return nil
	}
	for _, c := range p.Changes {
		text := fmt.Sprintf("%s %s: %s now (%s), %s by the book", c.Key, c.Axis, points(c.Old, "%.2f %%"), orDash(string(c.OldSource.Tag)), points(c.New, "%.2f %%"))
		if c.WithinInterval {
			text += "; the interval holds the old one too"
		}
		fmt.Fprintln(stdout, text)
	}
	fmt.Fprintf(stdout, "oversize %.4f, %.4f, %.4f now, %.4f, %.4f, %.4f by the book\n",
		p.OversizeOld[0], p.OversizeOld[1], p.OversizeOld[2], p.OversizeNew[0], p.OversizeNew[1], p.OversizeNew[2])
	say.notes(p.Remarks)
	if !o.Take {
		fmt.Fprintln(stdout, "nothing was changed; --take takes it over")
		return nil
	}
	if err := library.Materials.Save(p.Record); err != nil {
		return errors.New(strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	return tellKept(stdout, "taken over into", library, m.ID)
}
