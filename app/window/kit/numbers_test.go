package kit

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
		{"thousands from five digits", Fixed(1234567.2, 0), "1 234 567"},
		{"four digits stay together", Fixed(1234, 0), "1234"},
		{"negative", Fixed(-12345.6, 1), "-12 345.6"},
		{"no minus zero", Fixed(-0.001, 2), "0.00"},
		{"not a number", short(math.NaN()), "–"},
		{"infinite", Fixed(math.Inf(1), 1), "–"},
		{"clock", Clock(6*3600 + 5*60 + 20), "6:05"},
		{"minutes", Duration(2400), "40 min"},
		{"hours and minutes", Duration(6*3600 + 5*60), "6 h 5 min"},
		{"many hours", Duration(31*3600 + 10*60), "31 h"},
		{"no time", Duration(math.NaN()), "–"},
		{"span", Span(0.12, 0.58, 1), "0.1–0.6"},
		{"span of one", Span(0.11, 0.12, 1), "0.1"},
		{"span from nothing", Span(0.001, 0.58, 2), "0–0.58"},
		{"span of nothing", Span(0, 0.001, 2), "0.00"},
		{"small size", SizeText(0.1, 0.0525, 0.11), "0.100 × 0.052 × 0.110 mm"},
		{"small volume", VolumeText(12), "12.0 mm³"},
		{"volume", VolumeText(1234), "1.23 cm³"},
		{"size", SizeText(1, 22.25, 300), "1.0 × 22.2 × 300.0 mm"},
		{"one", Plural(1, "body"), "1 body"},
		{"many", Plural(12345, "facet"), "12 345 facets"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := strings.ReplaceAll(tc.got, NBSP, " "); got != tc.want {
				t.Errorf("got %q, want %q", got, tc.want)
			}
		})
	}
}
