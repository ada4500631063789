package render

import (
	"fmt"
	"slices"
	"strings"

	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// why sets in two columns: reasons and gates; print settings and the trade-off;
// under the shorter one warnings and, down to end, lines to write on.
func (l *layout) why(y, end float64) (float64, error) {
	const between = 5
	left := l.across()*0.56 - between/2
	x2 := l.x0() + left + between
	right := l.across() - left - between
	a := l.reasons(l.x0(), y, left)
	a = l.gates(l.x0(), a+gap, left)
	b := l.settings(x2, y, right)
	b, err := l.tradeOff(x2, b+gap, right)
	if b < a {
		b = l.warnings(x2, b+gap, right)
	} else {
		a = l.warnings(l.x0(), a+gap, left)
	}
	if a < b {
		l.handLines(l.x0(), a+gap, left, max(b, end))
	} else {
		l.handLines(x2, b+gap, right, max(a, end))
	}
	return max(a, b, end), err
}

// handLines sets lines to write on from y to end, if there is room for some.
func (l *layout) handLines(x, y, width, end float64) {
	const apart, fewest = 7.0, 2
	if end-y < l.line(faceHead())+1.6+fewest*apart {
		return
	}
	y = l.heading(x, y, width, "Notes by hand", "")
	for y += apart; y <= end; y += apart {
		l.rule(x, y, x+width, y, 0.15, inkRule)
	}
}

// reasons sets the sentences of the chosen candidate.
func (l *layout) reasons(x, y, width float64) float64 {
	y = l.heading(x, y, width, "Why this way up", "")
	y = l.block(x, y, width, l.weights(), faceSmall(), 2) + 0.4
	if f := l.firmness(); f != "" {
		y = l.block(x, y, width, f, faceSmall(), 2) + 0.4
	}
	if len(l.s.Chosen.Reasons) == 0 {
		return l.block(x, y, width, "No reasons recorded.", faceBody(), 1)
	}
	return l.bullets(x, y, width, slices.DeleteFunc(l.s.Chosen.OtherReasons(), ofAGate))
}

// ofAGate reports whether a reason is that of a gate, which the list of gates below
// tells with all of them.
func ofAGate(reason string) bool {
	return strings.HasPrefix(reason, "Fails the gate") || strings.HasPrefix(reason, "In doubt at the gate")
}

// firmness says how firm the choice is where the reasons do not: they do for the
// first.
func (l *layout) firmness() string {
	c, all := l.s.Chosen, l.s.Advice.Candidates
	if c.Rank == 1 || len(all) < 2 || all[0].FirstShare == 0 {
		return ""
	}
	return fmt.Sprintf("The chosen one comes first in %.0f %% of all weightings of the priorities, no. %d in %.0f %%.",
		100*c.FirstShare, all[0].Rank, 100*all[0].FirstShare)
}

// weights gives the priorities that the ranking rests on.
func (l *layout) weights() string {
	w := l.s.Advice.Brief.Priorities
	if w == (orient.Priorities{}) {
		w = orient.DefaultPriorities()
	}
	text := "Ranked by priorities, 0 to 5:"
	for i, p := range orient.AllPriorities() {
		if i > 0 {
			text += ","
		}
		text += fmt.Sprintf(" %s %g", p, w[p])
	}
	return text
}

// bullets sets sentences as a list; what the room does not hold is counted.
func (l *layout) bullets(x, y, width float64, sentences []string) float64 {
	shown := sentences
	if l.room.items > 0 && len(shown) > l.room.items {
		shown = shown[:l.room.items-1]
	}
	for _, s := range shown {
		l.shade(x+0.3, y+0.62*l.line(faceBody()), 0.9, 0.9, rgb(inkAccent))
		y = l.block(x+3, y, width-3, trade(s), faceBody(), l.room.lines) + 0.5
	}
	if more := len(sentences) - len(shown); more > 0 {
		y = l.block(x+3, y, width-3, fmt.Sprintf("… and %d more, not shown for want of room.", more), faceSmall(), 1)
	}
	return y
}

// gates sets each gate with a word for its state and its reason.
func (l *layout) gates(x, y, width float64) float64 {
	y = l.heading(x, y, width, "Gates", gatesText(l.s.Chosen))
	for _, g := range l.s.Chosen.Gates {
		word, f := "passed", faceBody()
		switch {
		case g.State == orient.Doubtful:
			word, f = "in doubt", faceStrong()
		case !g.Passed:
			word, f = "FAILS", faceStrong()
		}
		const indent = 15
		l.left(x, y+l.line(f), word, f)
		y = l.block(x+indent, y, width-indent, trade(strings.TrimSpace(capital(g.Name)+". "+g.Reason+" "+g.Cure)), f, l.room.lines) + 0.4
	}
	return y
}

// wholeSentence begins with a capital letter and ends with a stop.
func wholeSentence(s string) string {
	s = capital(s)
	if s != "" && !strings.ContainsAny(s[len(s)-1:], ".!?:") {
		s += "."
	}
	return s
}

// capital gives s with a capital first letter.
func capital(s string) string {
	r := []rune(s)
	if len(r) > 0 && r[0] >= 'a' && r[0] <= 'z' {
		r[0] -= 'a' - 'A'
	}
	return string(r)
}

// warnings sets the doubts of the advice and the user's own remarks.
func (l *layout) warnings(x, y, width float64) float64 {
	all := make([]string, 0, len(l.s.Advice.Notes)+len(l.s.Notes))
	var furnace []string // on the third page where there is one
	if !l.hasThird() {
		furnace = l.s.Advice.LayingAdvice(l.s.Chosen)
	}
	for _, n := range slices.Concat(l.s.Advice.Notes, l.s.Notes, furnace) {
		all = append(all, wholeSentence(n))
	}
	if len(all) == 0 {
		return y - gap
	}
	y = l.heading(x, y, width, "Warnings and remarks", "")
	return l.bullets(x, y, width, all)
}

// settings sets the print settings as the record has them.
func (l *layout) settings(x, y, width float64) float64 {
	y = l.heading(x, y, width, "Print settings", "as the material record has them")
	list := l.s.Advice.Brief.Material.Settings
	shown := list
	if l.room.settings > 0 && len(shown) > l.room.settings {
		shown = shown[:l.room.settings]
	}
	const item = 0.33
	for _, s := range shown {
		at := y
		y = l.block(x+width*item, y, width*(1-item), l.settingText(s, width*(1-item)), faceBody(), 0)
		y = max(y, l.block(x, at, width*item-1.5, s.Item, faceStrong(), 2)) + 0.35
		l.rule(x, y+0.25, x+width, y+0.25, 0.1, inkRule)
	}
	if len(list) == 0 {
		y = l.block(x, y, width, "The record has no print settings.", faceBody(), 1)
	}
	if more := len(list) - len(shown); more > 0 {
		y = l.block(x, y, width, fmt.Sprintf("… and %d more in the record.", more), faceSmall(), 1)
	}
	return y
}

// settingText gives the value of a setting and how far it is to be trusted; a
// value too long for the room loses its middle and never the trust.
func (l *layout) settingText(s process.Setting, width float64) string {
	tag := " (" + trust(s.Tag) + ")"
	if l.room.lines == 0 {
		return trade(s.Value) + tag
	}
	return cutMiddle(trade(s.Value), func(v string) bool {
		return len(l.wrap(v+tag, width, faceBody(), 0)) <= l.room.lines
	}) + tag
}

// tradeOff sets the chart of support against sag; left out where there is
// nothing to trade.
func (l *layout) tradeOff(x, y, width float64) (float64, error) {
	if len(l.s.Advice.Candidates) < 3 || l.room.noChart {
		return y - gap, nil
	}
	y = l.heading(x, y, width, "Trade-off of all candidates", "")
	y = l.block(x, y, width, "Numbers are ranks; large: chosen; square: as loaded; cross: fails a gate; triangle at the top: sag collapses.", faceSmall(), 2)
	const high, dots = 40.0, 11.0 // mm; pixels per mm
	h := high * l.scale
	if l.dry {
		return y + 1 + h, nil
	}
	support, sag := l.chartMeasures()
	points, axes := TradeOffOf(l.s.Advice.Candidates, l.s.Chosen.Rank, support, sag)
	img, err := TradeOff(points, axes, int(width*dots), int(h*dots), dots*perPoint*0.72*l.scale, PaperPalette())
	if err != nil {
		return 0, err
	}
	return y + 1 + h, l.picture(img, x, y+1, width, h)
}

// chartMeasures are those that most often pull against each other.
func (l *layout) chartMeasures() (x, y Measure) {
	list := Measures(&l.s.Advice.Brief)
	x, _ = MeasureNamed(list, "support_volume")
	y, _ = MeasureNamed(list, "sag")
	return x, y
}
