package orient

import (
	"context"
	"testing"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// facets20k is a part of 20 000 facets with overhangs, holes and thin places.
func facets20k() *mesh.Part { return partOf("torus", meshtest.Torus(30, 8, 100)) }

func BenchmarkStudy(b *testing.B) {
	p := facets20k()
	b.ReportAllocs()
	for range b.N {
		if _, err := NewStudy(context.Background(), p); err != nil {
			b.Fatal(err)
		}
	}
}

// The whole search, from a part in memory to ranked candidates.
func BenchmarkAdvise20k(b *testing.B) {
	p, brief := facets20k(), testBrief(b)
	b.ReportAllocs()
	for range b.N {
		if _, err := Advise(context.Background(), p, brief, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// 1.3 million facets, the largest part that has to stay pleasant.
func BenchmarkAdvise1300k(b *testing.B) {
	p, brief := partOf("torus", meshtest.Torus(30, 8, 806)), testBrief(b)
	b.ReportAllocs()
	for range b.N {
		if _, err := Advise(context.Background(), p, brief, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// A change of priorities re-ranks what is known.
func BenchmarkRevise(b *testing.B) {
	brief := testBrief(b)
	a := advise(b, facets20k(), brief)
	brief.Priorities = Priorities{ShorterPrint: 5, LessSag: 1}
	b.ReportAllocs()
	for range b.N {
		if _, err := a.Revise(context.Background(), brief, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOneDirection(b *testing.B) {
	study, err := NewStudy(context.Background(), facets20k())
	if err != nil {
		b.Fatal(err)
	}
	brief := testBrief(b)
	ups := covering(1000, 0)
	for _, level := range []struct {
		name  string
		s     *subject
		lines int
	}{{"crowd", study.crowd, crowdLines}, {"short list", study.middle, shortListLines}, {"full", study.full, 512 * 512}} {
		b.Run(level.name, func(b *testing.B) {
			g := newGauge(level.s, brief)
			b.ReportAllocs()
			for i := range b.N {
				pose, _ := poseFor(ups[i%len(ups)], level.s.hull, brief.oversizeOf())
				g.read(pose, level.lines)
			}
		})
	}
}
