package window

import (
	"math"
	"strings"
	"testing"
)

func TestNumbers(t *testing.T) {
	for _, tc := range []struct{ name, got, want string }{
		{"three figures", short(1.2345), "1.23"},
		{"ten", short(10), "10.0"},
		{"just under ten rounds up with one decimal", short(9.996), "10.0"},
		{"hundred", short(123.4), "123"},
		{"thousands from five digits", fixed(1234567.2, 0), "1 234 567"},
		{"four digits stay together", fixed(1234, 0), "1234"},
		{"negative", fixed(-12345.6, 1), "-12 345.6"},
		{"no minus zero", fixed(-0.001, 2), "0.00"},
		{"not a number", short(math.NaN()), "–"},
		{"infinite", fixed(math.Inf(1), 1), "–"},
		{"clock", clock(6*3600 + 5*60 + 20), "6:05"},
		{"minutes", duration(2400), "40 min"},
		{"hours and minutes", duration(6*3600 + 5*60), "6 h 5 min"},
		{"many hours", duration(31*3600 + 10*60), "31 h"},
		{"no time", duration(math.NaN()), "–"},
		{"span", span(0.12, 0.58, 1), "0.1–0.6"},
		{"span of one", span(0.11, 0.12, 1), "0.1"},
		{"span from nothing", span(0.001, 0.58, 2), "0–0.58"},
		{"span of nothing", span(0, 0.001, 2), "0.00"},
		{"small size", sizeText(0.1, 0.0525, 0.11), "0.100 × 0.052 × 0.110 mm"},
		{"small volume", volumeText(12), "12.0 mm³"},
		{"volume", volumeText(1234), "1.23 cm³"},
		{"size", sizeText(1, 22.25, 300), "1.0 × 22.2 × 300.0 mm"},
		{"one", plural(1, "body"), "1 body"},
		{"many", plural(12345, "facet"), "12 345 facets"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := strings.ReplaceAll(tc.got, nbsp, " "); got != tc.want {
				t.Errorf("got %q, want %q", got, tc.want)
			}
		})
	}
}
