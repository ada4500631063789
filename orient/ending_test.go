package orient

import (
	"context"
	"strconv"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/mesh/parallel/endtest"
)

// Every stage of the advice looks at its context so often that little of its work is
// done after the end.
func TestStagesLeaveOffSoon(t *testing.T) {
	ctx, brief := context.Background(), testBrief(t)
	brief.OnlyGiven = true
	// A table on four legs with a bridge: overhangs, regions, supports to be built.
	table := partOf("table", meshtest.Boxes([]meshtest.Box{
		meshtest.At(0, 0, 0, 4, 4, 16), meshtest.At(26, 0, 0, 4, 4, 16), meshtest.At(0, 16, 0, 4, 4, 16),
		meshtest.At(26, 16, 0, 4, 4, 16), meshtest.At(0, 0, 16, 30, 20, 3),
	}))
	study, err := NewStudy(ctx, table)
	if err != nil {
		t.Fatal(err)
	}
	a, err := study.Advise(ctx, brief, nil)
	if err != nil {
		t.Fatal(err)
	}
	planned, err := a.PlanSupports(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	hanging, err := advise(t, partOf("cross", proppedParts()["cross"].m), brief).Fire(ctx, FiringOptions{Elements: 2000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	searched := brief
	searched.OnlyGiven = false
	for _, stage := range []struct {
		name  string
		least int64
		work  func(context.Context) error
	}{
		{"study", 60, func(ctx context.Context) error { _, err := NewStudy(ctx, table); return err }},
		{"search", 2400, func(ctx context.Context) error { _, err := study.Advise(ctx, searched, nil); return err }},
		{"furnace", 500, func(ctx context.Context) error { _, err := a.Fire(ctx, FiringOptions{Elements: 2000}, nil); return err }},
		{"supports", 40, func(ctx context.Context) error { _, err := a.PlanSupports(ctx, nil); return err }},
		{"props", 60, func(ctx context.Context) error { _, err := hanging.PlanSupports(ctx, nil); return err }},
		{"bodies", 20, func(ctx context.Context) error {
			_, err := planned.Bodies(ctx, &planned.Candidates[0], true, nil)
			return err
		}},
		{"detail", 2, func(ctx context.Context) error { _, err := planned.Detail(ctx, &planned.Candidates[0]); return err }},
	} {
		t.Run(stage.name, func(t *testing.T) { endtest.Soon(t, stage.least, stage.work) })
	}
}

// How a whole advice grows with the facets of shapes that make work: the ranking and
// the plan of supports.
func BenchmarkHostile(b *testing.B) {
	for _, h := range meshtest.HostileShapes() {
		for _, facets := range []int{1000, 4000, 16000} {
			whole, health, err := mesh.Mend(context.Background(), h.Make(facets))
			if err != nil {
				b.Fatal(err)
			}
			part := &mesh.Part{Name: h.Name, Mesh: whole, Health: health}
			brief := testBrief(b)
			brief.OnlyGiven = true
			b.Run(h.Name+"/"+strconv.Itoa(len(whole.Facets)), func(b *testing.B) {
				b.ReportAllocs()
				for range b.N {
					a, err := Advise(context.Background(), part, brief, nil)
					if err != nil {
						b.Fatal(err)
					}
					if _, err := a.PlanSupports(context.Background(), nil); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
