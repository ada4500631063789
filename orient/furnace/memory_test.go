package furnace

import (
	"context"
	"runtime"
	"testing"
)

// TestMemoryPerBrick takes stock of the living memory in the middle of a
// solution: under 1 kB a brick.
func TestMemoryPerBrick(t *testing.T) {
	m := bracket()
	heap := func() float64 {
		runtime.GC()
		var s runtime.MemStats
		runtime.ReadMemStats(&s)
		return float64(s.HeapAlloc)
	}
	before := heap()
	var most float64
	calls := 0
	s, err := Solve(context.Background(), m, DefaultCreep(), Options{Elements: 30_000, NoCheck: true, Progress: func(string, float64) {
		if calls++; calls%10 == 3 {
			most = max(most, heap())
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	per := (most - before) / float64(s.Elements)
	t.Logf("%.0f bytes a brick at %d bricks", per, s.Elements)
	if per > 1024 || most == 0 {
		t.Errorf("%.0f bytes a brick, more than 1 kB", per)
	}
}
