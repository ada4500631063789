package render

import "testing"

func TestShadowIsDarkWhereThePartTouches(t *testing.T) {
	m := table()
	s := shadowOf(m, m.Bounds())
	under, top, outside := s.at(-17, -12), s.at(0, 0), s.at(100, 0)
	if under < 0.9 {
		t.Errorf("darkness under a leg = %.2f, want nearly 1", under)
	}
	if !(top > 0 && top < 0.6*under) {
		t.Errorf("darkness under the top, 16 mm up, = %.2f, want some but much less than %.2f", top, under)
	}
	if outside != 0 {
		t.Errorf("darkness far away = %g, want 0", outside)
	}
}
