package window

import (
	"strconv"
	"strings"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// cardFace is what stands on the card of one candidate.
type cardFace struct {
	rank string
	// tag tells where the candidate comes from, where that matters.
	tag string
	// title is how the part lies, below what tells it from others.
	title, below string
	facts        [][2]string
	// pending is true for facts that will change, since the furnace is not solved yet.
	pending bool
	// fault names the worst gate that is not passed; empty when all are. doubt is true
	// where none fails for sure.
	fault string
	doubt bool
}

// faceOf writes the card of c.
func faceOf(c *orient.Candidate) cardFace {
	f := cardFace{rank: strconv.Itoa(c.Rank)}
	f.title, f.below, _ = strings.Cut(cardTitle(c), ", ")
	switch c.Origin {
	case orient.AsLoaded:
		f.tag = "as loaded"
	case orient.Given:
		f.tag = "your own"
	}
	f.pending = pending(c)
	f.facts = [][2]string{
		{"support", supportFact(c)},
		{sagLabel, sagFact(c)},
		{"print (est.)", kit.Duration(c.Measures.PrintTimeS)},
	}
	if failed := failedGates(c); len(failed) > 0 {
		f.doubt = failed[0].State == orient.Doubtful
		f.fault = gateWords(failed[0])
		if len(failed) > 1 {
			f.fault += " +" + strconv.Itoa(len(failed)-1)
		}
	}
	return f
}

// pending reports whether what is told of the furnace is the quick estimate, which
// the solver will put right.
func pending(c *orient.Candidate) bool { return c.Lies().SagMethod == orient.SagByBeam }

// sagLabel heads the sag on a card.
const sagLabel = "sag (est.)"

func supportFact(c *orient.Candidate) string {
	if c.Measures.SupportVolumeMM3 < leastSupportMM3 {
		return "none"
	}
	return kit.VolumeText(c.Measures.SupportVolumeMM3)
}

func sagFact(c *orient.Candidate) string {
	if fault := lyingFault(c.Lies()); fault != "" {
		return fault
	}
	return sagRange(c.Lies()) + kit.NBSP + "mm"
}

// gateWords says in few words what is wrong with a gate, or may be.
func gateWords(g orient.Gate) string {
	if g.State == orient.Doubtful {
		return "perhaps " + g.Fault()
	}
	return g.Fault()
}
