package support_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/support"
)

// reachOf finds the regions of m and what the cutter gets at of them.
func reachOf(t testing.TB, m *mesh.Mesh, c support.Cutter) ([]support.Region, *support.Reach) {
	t.Helper()
	s := siteOf(m, 128*128)
	regions := regionsOf(t, s)
	r, err := s.Reach(context.Background(), regions, c)
	if err != nil {
		t.Fatal(err)
	}
	var whole float64
	for q := range regions {
		var sum float64
		for _, v := range r.Regions[q].ByAccess {
			sum += v
		}
		near(t, "sum of the accesses", sum, regions[q].VolumeMM3, 1e-9)
		whole += r.Regions[q].OutOfReachMM3
	}
	near(t, "sum of the regions", r.OutOfReachMM3, whole, 1e-9)
	return regions, r
}

// Parts in which the share in reach follows from the dimensions.
func TestReachAgainstClosedForms(t *testing.T) {
	long := support.Cutter{DiameterMM: 6, LengthMM: 60, HolderMM: 40}
	short := support.Cutter{DiameterMM: 6, LengthMM: 12, HolderMM: 40}
	tube := bored(20, 40, 8, 64)
	tests := []struct {
		name   string
		m      *mesh.Mesh
		cutter support.Cutter
		share  float64
		worst  support.Access
	}{
		{"table", table(), long, 1, support.InReach},
		{"bridge", bridge(12, 30), long, 1, support.InReach},
		{"tee", tee(15, 25), long, 1, support.InReach},
		{"stepped shaft", shaft(48), long, 1, support.InReach},
		{"tube across, long cutter", tube, long, 1, support.InReach},
		// Both ends let it in by its length; the middle 40 - 2 x 12 stays.
		{"tube across, short cutter", tube, short, 0.6, support.TooDeep},
		{"tube across, the holder goes in", tube, support.Cutter{DiameterMM: 6, LengthMM: 12, HolderMM: 6}, 1, support.InReach},
		{"channel, long cutter", channel(), support.Cutter{DiameterMM: 6, LengthMM: 26, HolderMM: 40}, 1, support.InReach},
		{"cup with a lid", cup(48), long, 0, support.Enclosed},
		{"pocket, closed", pocket(0), long, 0, support.Enclosed},
		{"pocket, open over its whole width", pocket(19.99), support.Cutter{DiameterMM: 6, LengthMM: 35, HolderMM: 40}, 1, support.InReach},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, r := reachOf(t, tt.m, tt.cutter)
			got := r.Regions[0]
			if math.Abs(got.Share-tt.share) > 0.03 {
				t.Errorf("share in reach = %.3f, want %.3f; by access %v", got.Share, tt.share, got.ByAccess)
			}
			if got.Worst != tt.worst && tt.share < 1 {
				t.Errorf("what is left is %v, want %v", got.Worst, tt.worst)
			}
			t.Logf("%d strokes, pixel %.2f, voxel %.2f, from %v %.2f", r.Strokes, r.PixelMM, r.VoxelMM, got.From, got.FromShare)
		})
	}
}

// A void behind a hole: what goes in depends on the hole and the cutter alone.
func TestHoleNarrowerAndWiderThanTheCutter(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	cutter := support.Cutter{DiameterMM: 6, LengthMM: 45, HolderMM: 30}
	_, narrow := reachOf(t, pocket(4), cutter)
	got := narrow.Regions[0]
	if got.Share != 0 || got.Worst != support.Narrow {
		t.Errorf("hole of 4 mm: share %.3f, %v, want none, too narrow", got.Share, got.Worst)
	}
	if math.Abs(got.WayInMM-4) > 1 {
		t.Errorf("hole of 4 mm: way in %.2f mm", got.WayInMM)
	}
	// A tube of 16 and a cutter of 18 mm: only the rim of its flat end dips into
	// the mouths, leaning, and not more than its radius.
	_, tube := reachOf(t, bored(20, 100, 8, 64), support.Cutter{DiameterMM: 18, LengthMM: 60})
	if got = tube.Regions[0]; got.Share > 2*9/100.0 || got.Worst != support.Narrow || math.Abs(got.At.Y-50) > 10 {
		t.Errorf("tube: share %.3f, %v at %v, want next to none, too narrow in the middle", got.Share, got.Worst, got.At)
	}
	// Straight in, the cutter sweeps the hole's own cross-section through the
	// void; leaning, more of it, but never all four corners beside the hole.
	_, wide := reachOf(t, pocket(8), cutter)
	got = wide.Regions[0]
	straight := 8 * 8 / (20 * 20.0)
	if got.Share < straight || got.Share > 0.9 {
		t.Errorf("hole of 8 mm: share %.3f, want over the %.3f of a straight cut and less than all", got.Share, straight)
	}
	if got.Worst != support.Hidden {
		t.Errorf("hole of 8 mm: what is left is %v, want hidden beside the hole; by access %v", got.Worst, got.ByAccess)
	}
	if got.From.X < 0.5 {
		t.Errorf("hole along x: cut from %v", got.From)
	}
	t.Logf("hole of 8 mm: share %.3f with %d strokes; by access %v", got.Share, wide.Strokes, got.ByAccess)
}

// The length that is asked for is the one that does.
func TestNeededLength(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	tube := bored(20, 60, 8, 64)
	cutter := support.Cutter{DiameterMM: 6, LengthMM: 12, HolderMM: 40}
	_, r := reachOf(t, tube, cutter)
	need := r.Regions[0].NeedMM
	if need < 28 || need > 31 {
		t.Fatalf("needed length = %g mm, want about half of 60", need)
	}
	if y := r.Regions[0].At.Y; math.Abs(y-30) > 3 {
		t.Errorf("place out of reach at y = %g, want the middle", y)
	}
	cutter.LengthMM = need + 0.5
	if _, r = reachOf(t, tube, cutter); r.Regions[0].Share < 0.99 {
		t.Errorf("share %.3f with the length asked for", r.Regions[0].Share)
	}
}

// What cannot be gets no better by a thicker or a shorter cutter, and a part
// turned about the build direction is as it was.
func TestReachIsMonotonous(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	m := pocket(10)
	share := func(m *mesh.Mesh, d, l float64) float64 {
		_, r := reachOf(t, m, support.Cutter{DiameterMM: d, LengthMM: l, HolderMM: 25})
		return r.Regions[0].Share
	}
	thin, thick, short := share(m, 6, 40), share(m, 8, 40), share(m, 6, 18)
	if thin < thick || thin < short || thick == 0 || short == 0 {
		t.Errorf("thin %.3f, thick %.3f, short %.3f", thin, thick, short)
	}
	spun := m.Transform(mesh.RotationAbout(r3.Vec{Z: 1}, 0.4), r3.Vec{})
	if turned := share(spun, 6, 40); math.Abs(turned-thin) > 0.05 {
		t.Errorf("share %.3f, spun %.3f", thin, turned)
	}
}

func TestReachOfHostileInput(t *testing.T) {
	s := siteOf(table(), 32*32)
	regions := regionsOf(t, s)
	for _, c := range []support.Cutter{{}, {DiameterMM: 3}, {DiameterMM: math.NaN(), LengthMM: 3}, {DiameterMM: 3, LengthMM: 3, HolderMM: -1}} {
		if _, err := s.Reach(context.Background(), regions, c); err == nil || !strings.Contains(err.Error(), "cannot be used") {
			t.Errorf("%+v: %v", c, err)
		}
	}
	cutter := support.Cutter{DiameterMM: 6, LengthMM: 20, HolderMM: 20}
	open := pocket(8)
	open.Facets = open.Facets[:len(open.Facets)-5]
	for name, m := range map[string]*mesh.Mesh{
		"empty": {}, "block": meshtest.Block(5, 5, 5), "open": open,
		"one facet": {Vertices: []r3.Vec{{Z: 3}, {Y: 10, Z: 3}, {X: 10, Z: 3}}, Facets: [][3]int32{{0, 1, 2}}},
	} {
		s := support.NewSite(m, 45, 48*48, false, nil)
		r, err := s.Reach(context.Background(), regionsOf(t, s), cutter)
		if err != nil || math.IsNaN(r.OutOfReachMM3) {
			t.Errorf("%s: %v, %+v", name, err, r)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Reach(ctx, regions, cutter); err == nil {
		t.Error("no error after cancel")
	}
}

func BenchmarkReach(b *testing.B) {
	open := siteOf(tilted(meshtest.Torus(30, 8, 100), 40), 256*256) // 20 000 facets
	hidden := siteOf(pocketOf(20_000), 256*256)
	cutter := support.Cutter{DiameterMM: 3, LengthMM: 30, HolderMM: 20}
	for name, s := range map[string]*support.Site{"open": open, "hidden": hidden} {
		regions := regionsOf(b, s)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if _, err := s.Reach(context.Background(), regions, cutter); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// pocketOf is a pocket with a hole of 6 mm and about the given number of facets.
func pocketOf(facets int) *mesh.Mesh {
	var at []float64
	n := int(math.Sqrt(float64(facets) / 16))
	for i := range n + 1 {
		at = append(at, 40*float64(i)/float64(n))
	}
	in := func(i int, lo, hi float64) bool { return at[i] >= lo && at[i+1] <= hi }
	return meshtest.Blocks(at, at, at, func(i, j, k int) bool {
		void := in(i, 10, 30) && in(j, 10, 30) && in(k, 10, 30)
		hole := in(i, 30, 40) && in(j, 17, 23) && in(k, 17, 23)
		return !void && !hole
	})
}
