package window

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"kilnpoise/orient"
)

// poseName is the name of a candidate taken apart: letters after ISO/ASTM 52921
// where it has them, and what comes after.
type poseName struct{ letters, rest string }

func nameOf(c *orient.Candidate) poseName {
	first, rest, _ := strings.Cut(c.Name, ", ")
	if first != "" && strings.Trim(first, "XYZ") == "" {
		return poseName{first, angles(rest)}
	}
	return poseName{"", angles(c.Name)}
}

// angles writes rotations short: "A +35.0, B -12.4 deg" becomes "A +35° B −12°".
// Other text stays as it is.
func angles(text string) string {
	turns, isAngles := strings.CutSuffix(text, " deg")
	if !isAngles {
		return minus(text)
	}
	var out []string
	for _, turn := range strings.Split(turns, ", ") {
		axis, number, _ := strings.Cut(turn, " ")
		v, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return text
		}
		if math.Abs(v) >= 0.5 {
			out = append(out, fmt.Sprintf("%s%s%+.0f°", axis, nbsp, v))
		}
	}
	if len(out) == 0 {
		return "less than 1°"
	}
	return minus(strings.Join(out, " "))
}

// minus sets a hyphen before an axis or a number as a minus sign.
func minus(text string) string { return strings.ReplaceAll(text, "-", "−") }

// stance says how the part stands, from its letters: they name the axis of the
// longest side first.
func (n poseName) stance() string {
	switch strings.Index(n.letters, "Z") {
	case 0:
		return "on end"
	case 1:
		return "on edge"
	default:
		return "lying flat"
	}
}

// cardTitle names a candidate on its card.
func cardTitle(c *orient.Candidate) string {
	n := nameOf(c)
	switch {
	case n.letters != "" && strings.Contains(n.rest, "°"):
		return upperFirst(n.stance()) + ", " + n.letters
	case n.letters != "":
		return upperFirst(n.stance()) + ", " + n.rest
	case c.Origin == orient.AsLoaded:
		return "As loaded"
	default:
		return n.rest
	}
}

// instruction is the verdict's opening: what to do with the part.
func instruction(c *orient.Candidate) string {
	n := nameOf(c)
	switch {
	case c.Origin == orient.AsLoaded:
		return "Leave it as it was loaded"
	case n.letters == "":
		return "Turn it " + n.rest
	}
	do := map[string]string{"on end": "Stand it on end", "on edge": "Set it on edge", "lying flat": "Lay it flat"}
	return do[n.stance()] + ", " + n.rest
}

// verdictSentence is the one sentence that the page opens with.
func verdictSentence(c, asLoaded *orient.Candidate) string {
	parts := []string{supportPhrase(c, asLoaded), sagText(c)}
	if fault := faultAsLoaded(c, asLoaded); fault != "" {
		parts = []string{"all gates passed (as loaded: " + fault + ")", volumeText(c.Measures.SupportVolumeMM3) + " of support", sagText(c)}
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
		return gateFault(failed[0].Name)
	}
	return ""
}

// supportPhrase tells the support, against the orientation as loaded where that
// says something.
func supportPhrase(c, asLoaded *orient.Candidate) string {
	mine := c.Measures.SupportVolumeMM3
	if mine < leastSupportMM3 {
		if asLoaded != nil && asLoaded.Pose != c.Pose && asLoaded.Measures.SupportVolumeMM3 >= leastSupportMM3 {
			return "no support, where as loaded it needs " + volumeText(asLoaded.Measures.SupportVolumeMM3)
		}
		return "no support"
	}
	amount := volumeText(mine) + " of support"
	if asLoaded == nil || asLoaded.Pose == c.Pose || asLoaded.Measures.SupportVolumeMM3 < leastSupportMM3 {
		return amount
	}
	change := 100 * (mine/asLoaded.Measures.SupportVolumeMM3 - 1)
	switch {
	case math.Abs(change) < 1:
		return amount + ", as much as loaded"
	case change < 0:
		return fmt.Sprintf("%.0f%s%% less support than as loaded", -change, nbsp)
	case change < 200:
		return fmt.Sprintf("%.0f%s%% more support than as loaded", change, nbsp)
	default:
		return amount + ", as loaded " + volumeText(asLoaded.Measures.SupportVolumeMM3)
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

// failedGates lists the gates that c does not pass.
func failedGates(c *orient.Candidate) []orient.Gate {
	var failed []orient.Gate
	for _, g := range c.Gates {
		if !g.Passed {
			failed = append(failed, g)
		}
	}
	return failed
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

// typeset gives a sentence the signs of print: superscripts, degree and times.
func typeset(sentence string) string {
	return strings.NewReplacer(
		" mm3", nbsp+"mm³", " mm2", nbsp+"mm²", " cm3", nbsp+"cm³", " cm2", nbsp+"cm²",
		" mm", nbsp+"mm", " deg", nbsp+"°", " x ", nbsp+"×"+nbsp, " %", nbsp+"%",
	).Replace(sentence)
}

func upperFirst(text string) string {
	if text == "" {
		return text
	}
	r := []rune(text)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

// lowerFirst lets a sentence follow a colon.
func lowerFirst(text string) string {
	if text == "" {
		return text
	}
	r := []rune(text)
	return strings.ToLower(string(r[:1])) + string(r[1:])
}
