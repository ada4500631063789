package window

import (
	"fmt"
	"math"
	"strings"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// poseText sets the name of a candidate for the screen.
func poseText(c *orient.Candidate) string {
	return kit.Minus(strings.ReplaceAll(c.Name, " deg", "°"))
}

// cardTitle names a candidate on its card.
func cardTitle(c *orient.Candidate) string { return kit.UpperFirst(poseText(c)) }

// instruction is the verdict's opening: what to do with the part. Angles that tell like
// ways apart stand on the card and below the reasons: here there is no room for them.
func instruction(c *orient.Candidate) string {
	name := poseText(c)
	if i := strings.Index(name, ", A"); i >= 0 && strings.HasSuffix(name, "°") {
		name = name[:i]
	}
	if c.Origin == orient.AsLoaded {
		return "Leave it as loaded, " + name
	}
	for _, do := range [][2]string{
		{"upright", "Stand it upright"}, {"standing", "Stand it"}, {"on edge", "Set it on edge"},
		{"flat", "Lay it flat"}, {"on its side", "Lay it on its side"}, {"leaning", "Lean it"},
	} {
		if rest, ok := strings.CutPrefix(name, do[0]); ok {
			return do[1] + rest
		}
	}
	return "Turn it: " + name
}

// turnsLine tells by which angles a candidate is turned from the file.
func turnsLine(c *orient.Candidate) string {
	var out []string
	for i, deg := range c.Pose.Turns() {
		out = append(out, fmt.Sprintf("%c%s%+.1f°", 'A'+i, kit.NBSP, math.Round(10*deg)/10+0))
	}
	return kit.Minus("Turned from the file by "+strings.Join(out, ", ")) + ": about its X, then Y, then Z axis, as in ISO/ASTM 52921."
}

// verdictSentence is the one sentence that the page opens with.
func verdictSentence(c, asLoaded *orient.Candidate) string {
	parts := []string{supportPhrase(c, asLoaded), sagText(c)}
	if fault := faultAsLoaded(c, asLoaded); fault != "" {
		parts = []string{"all gates passed (as loaded: " + fault + ")", kit.VolumeText(c.Measures.SupportVolumeMM3) + " of support", sagText(c)}
	}
	return instruction(c) + ": " + strings.Join(parts, ", ") + " (estimate)."
}

// faultAsLoaded gives what is wrong with the orientation as loaded where this one,
// which passes all gates, takes more support: then it is not for the support that
// it is better.
func faultAsLoaded(c, asLoaded *orient.Candidate) string {
	if asLoaded == nil || !c.Passes() || c.Measures.SupportVolumeMM3 <= asLoaded.Measures.SupportVolumeMM3 {
		return ""
	}
	if failed := failedGates(asLoaded); len(failed) > 0 {
		return gateWords(failed[0])
	}
	return ""
}

// supportPhrase tells the support, against the orientation as loaded where that
// says something.
func supportPhrase(c, asLoaded *orient.Candidate) string {
	mine := c.Measures.SupportVolumeMM3
	if mine < leastSupportMM3 {
		if asLoaded != nil && asLoaded.Pose != c.Pose && asLoaded.Measures.SupportVolumeMM3 >= leastSupportMM3 {
			return "no support, where as loaded it needs " + kit.VolumeText(asLoaded.Measures.SupportVolumeMM3)
		}
		return "no support"
	}
	amount := kit.VolumeText(mine) + " of support"
	if asLoaded == nil || asLoaded.Pose == c.Pose || asLoaded.Measures.SupportVolumeMM3 < leastSupportMM3 {
		return amount
	}
	change := 100 * (mine/asLoaded.Measures.SupportVolumeMM3 - 1)
	switch {
	case math.Abs(change) < 1:
		return amount + ", as much as loaded"
	case change < 0:
		return fmt.Sprintf("%.0f%s%% less support than as loaded", -change, kit.NBSP)
	case change < 200:
		return fmt.Sprintf("%.0f%s%% more support than as loaded", change, kit.NBSP)
	default:
		return amount + ", as loaded " + kit.VolumeText(asLoaded.Measures.SupportVolumeMM3)
	}
}

// leastSupportMM3 is what counts as support at all.
const leastSupportMM3 = 0.5

// place tells where a candidate stands among the others.
func place(c *orient.Candidate, count int) string {
	switch {
	case c.Rank == 1:
		return "First choice"
	case c.Rank == 2:
		return "Second choice"
	default:
		return fmt.Sprintf("Choice %d of %d", c.Rank, count)
	}
}

// failedGates lists the gates that c does not pass, those in doubt last.
func failedGates(c *orient.Candidate) []orient.Gate {
	var failed, doubtful []orient.Gate
	for _, g := range c.Gates {
		switch {
		case g.Passed:
		case g.State == orient.Doubtful:
			doubtful = append(doubtful, g)
		default:
			failed = append(failed, g)
		}
	}
	return append(failed, doubtful...)
}

// verdictFaults names, as short as the verdict has room for, what fails or, where nothing
// does, what is in doubt; of many the first.
func verdictFaults(c *orient.Candidate) string {
	const most = 2
	gates := c.GatesIn(orient.Failed)
	if len(gates) == 0 {
		gates = c.GatesIn(orient.Doubtful)
	}
	var words []string
	for _, g := range gates[:min(len(gates), most)] {
		words = append(words, gateWords(g))
	}
	text := strings.Join(words, ", ")
	if more := len(gates) - most; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

// passedLine tells the gates that are passed in one line.
func passedLine(c *orient.Candidate) string {
	var names []string
	for _, g := range c.Gates {
		if g.Passed {
			names = append(names, g.Name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Passes: " + strings.Join(names, ", ") + "."
}
