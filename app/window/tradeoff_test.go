package window

import (
	"strings"
	"testing"

	"kilnpoise/render"
)

// charted opens a part and waits for its trade-off chart.
func charted(t *testing.T) *bench {
	t.Helper()
	b := advised(t, "tee.stl", tee())
	b.until("the chart", func() bool { return b.trade.drawn != nil })
	return b
}

func TestAClickOnTheChartChooses(t *testing.T) {
	b := charted(t)
	list := render.Measures(&b.desk.advice.Brief)
	b.takeTrade(placeOf(list, "support_volume"), placeOf(list, "height"))
	was := b.trade.drawn
	b.until("the chart by height", func() bool { return b.trade.drawn != was })
	size := b.trade.drawn.Image.Bounds()
	chosen := map[int]bool{}
	for x := 0; x < size.Dx(); x += 4 {
		for y := 0; y < size.Dy(); y += 4 {
			if i, ok := b.trade.drawn.PointAt(float64(x), float64(y)); ok && !chosen[i] {
				chosen[i] = true
				b.pickChart(float64(x), float64(y))
				if b.desk.index() != i {
					t.Errorf("a click on candidate %d chooses %d", i, b.desk.index())
				}
			}
		}
	}
	if len(chosen) < 2 {
		t.Errorf("%d candidates can be clicked", len(chosen))
	}
}

func TestTheChartTakesAnyTwoMeasures(t *testing.T) {
	b := charted(t)
	if across := b.why.trade.across.Selected; !strings.HasPrefix(across, "Support volume") {
		t.Errorf("across is %q", across)
	}
	was := b.trade.drawn
	for i, name := range b.why.trade.up.Options {
		if strings.HasPrefix(name, "Tip angle") {
			b.why.trade.up.SetSelectedIndex(i)
		}
	}
	b.until("the chart by tip angle", func() bool { return b.trade.drawn != was })
	if b.trade.up != "tip_angle" || b.trade.across != "support_volume" {
		t.Errorf("the chart shows %s over %s", b.trade.up, b.trade.across)
	}
}
