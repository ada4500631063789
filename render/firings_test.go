package render

import (
	"image/color"
	"math"
	"testing"
	"time"
)

func firingDay(month, day int) time.Time {
	return time.Date(2026, time.Month(month), day, 0, 0, 0, 0, time.UTC)
}

// sampleFirings has a reading of each kind.
func sampleFirings() Firings {
	return Firings{
		Label: "shrinkage along X, %",
		Points: []FiringPoint{
			{Date: firingDay(1, 12), Shrinkage: 0.1612, Error: 0.0005}, {Date: firingDay(1, 12), Shrinkage: 0.1620, Error: 0.0005},
			{Date: firingDay(1, 12), Shrinkage: 0.1617, Error: 0.0004, Aslant: true},
			{Date: firingDay(2, 2), Shrinkage: 0.1633, Error: 0.0005}, {Date: firingDay(2, 20), Shrinkage: 0.1619, Error: 0.0005},
			{Date: firingDay(2, 20), Shrinkage: 0.1702, Error: 0.0005, Outlier: true}, {Date: firingDay(3, 9), Shrinkage: 0.1560, Error: 0.0005, LeftOut: true},
			{Date: firingDay(3, 9), Shrinkage: 0.1629, Error: 0.0005},
		},
		Mean: 0.1626, Low: 0.1612, High: 0.1640, Record: 0.16, DriftFrom: math.NaN(), DriftTo: math.NaN(),
	}
}

func TestGoldenFirings(t *testing.T) {
	drifts := sampleFirings()
	drifts.Label, drifts.DriftFrom, drifts.DriftTo, drifts.Record = "shrinkage along Z, %", 0.1605, 0.1645, 0.1624
	for _, c := range []struct {
		name    string
		f       Firings
		density float64
		p       Palette
	}{{"firings.png", sampleFirings(), 1, LightPalette()}, {"firings-drift-dark-2x.png", drifts, 2, DarkPalette()}} {
		drawn, err := DrawFirings(c.f, int(380*c.density), int(160*c.density), c.density, c.p)
		if err != nil {
			t.Fatal(err)
		}
		sameAsGolden(t, c.name, drawn.Image)
	}
}

// Each reading is where PointAt finds it, and higher shrinkage lies higher; those
// of one day lie beside each other.
func TestFiringsLieWhereTheyAreFound(t *testing.T) {
	f := sampleFirings()
	for _, density := range []float64{1, 2} {
		c, err := DrawFirings(f, int(500*density), int(200*density), density, LightPalette())
		if err != nil {
			t.Fatal(err)
		}
		if len(c.dots) != len(f.Points) {
			t.Fatalf("%d dots for %d readings", len(c.dots), len(f.Points))
		}
		for i, a := range c.dots {
			if got, ok := c.PointAt(a.x+1, a.y-1); !ok || got != i {
				t.Errorf("density %g: at reading %d reading %d is found (%v)", density, i, got, ok)
			}
			for j := range c.dots {
				inOrder(t, c, f.Points, i, j, density)
			}
		}
	}
}

// inOrder fails where readings i and j do not lie to each other as they should.
func inOrder(t *testing.T, c *Chart, points []FiringPoint, i, j int, density float64) {
	t.Helper()
	a, b, p, q := c.dots[i], c.dots[j], points[i], points[j]
	if p.Shrinkage > q.Shrinkage && a.y >= b.y {
		t.Errorf("reading %d shrank more than %d and lies lower", i, j)
	}
	if p.Date.Before(q.Date) && a.x >= b.x {
		t.Errorf("reading %d is older than %d and lies further right", i, j)
	}
	if i < j && p.Date.Equal(q.Date) && b.x-a.x < 4*density {
		t.Errorf("readings %d and %d of one day lie %.1f pixels apart", i, j, b.x-a.x)
	}
}

// A band far wider than what was read must not press the readings into a line.
func TestWideIntervalLeavesRoomForReadings(t *testing.T) {
	f := sampleFirings()
	f.Low, f.High = -0.3, 0.6
	c, err := DrawFirings(f, 400, 200, 1, LightPalette())
	if err != nil {
		t.Fatal(err)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, d := range c.dots {
		low, high = math.Min(low, d.y), math.Max(high, d.y)
	}
	if high-low < 40 {
		t.Errorf("the readings take up %.0f of 200 pixels", high-low)
	}
}

// A clear ground stays clear, so that the page shows through.
func TestFiringsOnAClearGround(t *testing.T) {
	p := LightPalette()
	p.Background = color.RGBA{}
	c, err := DrawFirings(sampleFirings(), 200, 120, 1, p)
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Image.RGBAAt(199, 1); got.A != 0 {
		t.Errorf("the ground is %v", got)
	}
	dot := c.dots[3]
	if got := c.Image.RGBAAt(int(dot.x), int(dot.y)); got.A < 250 {
		t.Errorf("a reading is %v", got)
	}
}

func TestFiringsTakeAnything(t *testing.T) {
	nan := math.NaN()
	bare := Firings{Mean: nan, Low: nan, High: nan, Record: nan, DriftFrom: nan, DriftTo: nan}
	one := bare
	one.Points = []FiringPoint{{Date: firingDay(1, 1), Shrinkage: 0.16}}
	odd := bare
	odd.Points = []FiringPoint{{Shrinkage: 0.16}, {Date: firingDay(1, 1), Shrinkage: nan}, {Date: firingDay(1, 2), Shrinkage: 0.1, Error: math.Inf(1)}}
	long := one
	long.First, long.Last = firingDay(1, 1).AddDate(-150, 0, 0), firingDay(1, 1)
	for name, f := range map[string]Firings{"nothing": bare, "one": one, "odd": odd, "zero": {}, "long": long} {
		for _, size := range [][2]int{{1, 1}, {90, 60}, {400, 160}} {
			c, err := DrawFirings(f, size[0], size[1], 1, Palette{})
			if err != nil || c.Image.Rect.Dx() != size[0] || c.Image.Rect.Dy() != size[1] {
				t.Errorf("%s at %v: %v", name, size, err)
			}
		}
	}
}

func TestTicksOfFirings(t *testing.T) {
	for _, tt := range []struct {
		from, to    time.Time
		most        int
		first, last string
	}{
		{firingDay(3, 2), firingDay(3, 5), 5, "2026-03-02", "2026-03-05"},
		{firingDay(3, 3), firingDay(3, 20), 4, "2026-03-09", "2026-03-16"},
		{firingDay(1, 12), firingDay(5, 9), 4, "2026-02-01", "2026-05-01"},
		{firingDay(1, 12), firingDay(4, 17), 2, "2026-01-24", "2026-04-05"},
		{firingDay(1, 12), firingDay(1, 12).AddDate(9, 0, 0), 4, "2028-01-01", "2034-01-01"},
	} {
		ticks := dateTicks{last: dayOf(tt.to), most: tt.most}.Ticks(dayOf(tt.from), dayOf(tt.to)+100)
		if len(ticks) == 0 || len(ticks) > tt.most {
			t.Errorf("%s to %s: %d ticks, at most %d fit", tt.from.Format(time.DateOnly), tt.to.Format(time.DateOnly), len(ticks), tt.most)
			continue
		}
		if first, last := ticks[0].Label, ticks[len(ticks)-1].Label; first != tt.first || last != tt.last {
			t.Errorf("%s to %s: ticks from %s to %s, want %s to %s", tt.from.Format(time.DateOnly), tt.to.Format(time.DateOnly), first, last, tt.first, tt.last)
		}
	}
	ticks := percentTicks{most: 5}.Ticks(15.93, 16.41)
	if len(ticks) != 5 || ticks[0].Label != "16.0" || ticks[4].Label != "16.4" {
		t.Errorf("ticks of percent: %v", ticks)
	}
}
