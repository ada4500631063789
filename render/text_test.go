package render

import (
	"math"
	"testing"
	"unicode/utf8"
)

func TestCutMiddle(t *testing.T) {
	short := func(n int) func(string) bool { return func(s string) bool { return utf8.RuneCountInString(s) <= n } }
	for _, c := range []struct {
		in   string
		n    int
		want string
	}{
		{"valve.stl", 20, "valve.stl"},
		{"a-very-long-name.stl", 11, "a-ver…e.stl"},
		{"Über-Länge-Flansch.stl", 9, "Über….stl"},
		{"abc", 0, "…"},
	} {
		if got := cutMiddle(c.in, short(c.n)); got != c.want {
			t.Errorf("cutMiddle(%q, %d) = %q, want %q", c.in, c.n, got, c.want)
		}
	}
}

func TestRoundLength(t *testing.T) {
	for _, c := range []struct{ most, want float64 }{{7, 5}, {5, 5}, {4.9, 2}, {1.3, 1}, {0.03, 0.02}, {230, 200}, {0, 1}, {math.NaN(), 1}} {
		if got := roundLength(c.most); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("roundLength(%g) = %g, want %g", c.most, got, c.want)
		}
	}
}

func TestMMText(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{{0, "0"}, {0.0123, "0.012"}, {0.651, "0.65"}, {12.34, "12.3"}} {
		if got := mmText(c.v); got != c.want {
			t.Errorf("mmText(%g) = %q, want %q", c.v, got, c.want)
		}
	}
}
