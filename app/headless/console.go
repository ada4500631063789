package headless

import (
	"fmt"
	"io"

	"kilnpoise/orient"
)

// console tells the person at the terminal what goes on, on standard error.
type console struct {
	w         io.Writer
	lastStage string
	lastTenth int
}

func (c *console) line(format string, args ...any) {
	fmt.Fprintf(c.w, format+"\n", args...)
}

func (c *console) notes(lines []string) {
	for _, l := range lines {
		c.line("%s", l)
	}
}

func (c *console) progress(p orient.Progress) { c.stage(p.Stage, p.Fraction) }

// stage writes a line at each new stage and each tenth of the way.
func (c *console) stage(name string, fraction float64) {
	tenth := int(fraction * 10)
	if name == c.lastStage && tenth == c.lastTenth {
		return
	}
	c.lastStage, c.lastTenth = name, tenth
	c.line("%3.0f %%  %s", fraction*100, name)
}

// verdict sums up the first candidate.
func (c *console) verdict(a *orient.Advice) {
	best := &a.Candidates[0]
	c.line("Best of %d: %s", len(a.Candidates), best.Name)
	for _, r := range best.Reasons {
		c.line("  %s", r)
	}
}
